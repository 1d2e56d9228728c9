// Reads a file of cu8 samples and gives them to liquid-dsp's spectrogram of 64 bins: Hann window, half overlapping, as its
// own examples set it up. Prints the seconds of processor time that it took, and the power in the strongest bin in dB.
//
//   gcc -O3 -march=native -ffast-math spectrogram.c -o spectrogram -lliquid -lm
//   spectrogram FILE
#include <complex.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>
#include <liquid/liquid.h>

enum { BINS = 64, PIECE_BYTES = 256 * 1024 };

static uint8_t bytes[PIECE_BYTES];
static float complex samples[PIECE_BYTES / 2];

static double cpu_seconds(void) {
  struct timespec now;
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
  return now.tv_sec + 1e-9 * now.tv_nsec;
}

int main(int count, char **arguments) {
  if (count != 2) return 2;
  FILE *file = fopen(arguments[1], "rb");
  if (!file) return 2;
  setvbuf(file, NULL, _IONBF, 0);
  spgramcf spectrogram = spgramcf_create(BINS, LIQUID_WINDOW_HANN, BINS, BINS / 2);
  double begun = cpu_seconds();
  size_t length;
  while ((length = fread(bytes, 1, PIECE_BYTES, file)) > 0) {
    size_t whole = length / 2;
    for (size_t i = 0; i < whole; i++) {
      samples[i] = ((float)bytes[2 * i] - 127.5f) / 127.5f + _Complex_I * (((float)bytes[2 * i + 1] - 127.5f) / 127.5f);
    }
    spgramcf_write(spectrogram, samples, (unsigned)whole);
  }
  double seconds = cpu_seconds() - begun;
  float psd[BINS];
  spgramcf_get_psd(spectrogram, psd);
  float most = psd[0];
  for (int k = 1; k < BINS; k++) most = psd[k] > most ? psd[k] : most;
  printf("%.6f %.1f\n", seconds, most);
  spgramcf_destroy(spectrogram);
  fclose(file);
  return 0;
}
