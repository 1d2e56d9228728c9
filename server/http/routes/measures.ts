import { z } from "zod";
import type { Layout } from "../../../decoders/layouts/schema.ts";
import { sensorTimings, TIMING_ASSUMES } from "../../../decoders/measures/transmissions.ts";
import type { StoredRecording } from "../../store/store.ts";
import { bandIn, cutOf, fromCentre, MOST_SAMPLES, rangeOf, refuseLong, tunedAt } from "../cuts.ts";
import type { House } from "../house.ts";
import { cutAround, measureBurst, placeOf } from "../measureBurst.ts";
import { burstBody, stretchBody } from "../measuresBody.ts";
import { Problem } from "../problem.ts";
import { type Route, route } from "../route.ts";
import { samplesHere } from "../samplesHere.ts";
import { fillingFirst, type SoughtBurst, soughtBursts } from "../soughtBurst.ts";
import { BurstSymbolsBody, EdgesBody, MeasuresBody, SpectrumBody, TimingBody } from "../wire.ts";

const seconds = z.number().min(0);
const EdgesQuery = z.strictObject({
  at: seconds,
  reach: z.number().positive(),
  lowHz: z.number().optional(),
  highHz: z.number().optional(),
});
const StretchQuery = z.strictObject({ from: seconds, to: seconds });
const MeasuresQuery = StretchQuery.extend({ burst: z.int().min(0).optional() });
const TimingQuery = z.strictObject({ identity: z.string().min(1).max(40).optional() });
const SpectrumQuery = StretchQuery.extend({ lines: z.int().min(16).max(4096).optional() });
const SymbolsQuery = z.strictObject({ at: seconds.optional() });

/** Lines of a spectrum where nobody says. */
const LINES = 512;
/** Looked at on both sides of a burst for its edges, and of a moment where no burst is known: levels and noise. */
const EDGE_SECONDS = 0.005;
const ALONE_SECONDS = 0.015;
const MOST_EDGE_SAMPLES = 2 ** 18;
/** A nominal carrier this far beyond the band is told as well, as a share of its width. */
const BESIDE_SHARE = 0.5;
/** Bursts that are listened for again before a stretch is taken to hold none that can be measured. */
const MOST_TRIED = 3;

const INDICATIVE = "Measured anew on the stored samples; indicative, since no calibrated instrument took them.";

/** What is measured on the samples of a recording. */
export function measureRoutes(house: House): readonly Route[] {
  const { store, folder, pool, shelf } = house;
  async function recordingOf(hash: string | undefined): Promise<StoredRecording> {
    const recording = await store.recording(hash ?? "");
    if (recording) return recording;
    throw new Problem("not-found", `There is no recording ${hash}.`, { nextSteps: ["See the list at /recordings."] });
  }

  async function withSamples(hash: string | undefined): Promise<StoredRecording> {
    return samplesHere(house, await recordingOf(hash));
  }

  async function soughtIn({ hash, sampleRateHz }: StoredRecording): Promise<readonly SoughtBurst[]> {
    const [bursts, telegrams] = await Promise.all([store.burstsOf(hash), store.telegramsOf(hash)]);
    return soughtBursts(
      bursts,
      telegrams.map(({ telegram }) => telegram),
      shelf.current(),
      sampleRateHz,
    );
  }

  return [
    route({
      method: "get",
      path: "/recordings/{hash}/edges",
      summary: "The pulse edge nearest to a moment",
      notes: `?at and ?reach are seconds. A level's edge lies where it goes through half of its step, a tone's where the
frequency goes through the middle of the two, each read between samples. Without ?lowHz and ?highHz the band of the burst
there is looked at, else the whole one. Where a burst's edges keep a clock as well as noise lets them, they are drawn to
it; sigmaSamples is what uncertainty is left. At most ${MOST_EDGE_SAMPLES} samples to either side.`,
      query: EdgesQuery,
      answers: { 200: { says: "The edge, or why there is none.", body: EdgesBody } },
      problems: ["not-found", "not-fitting", "samples-gone", "samples-elsewhere"],
      async handle({ params, query }) {
        const recording = await withSamples(params["hash"]);
        const { sampleRateHz, sampleCount } = recording;
        const atSample = query.at * sampleRateHz;
        const reachSamples = query.reach * sampleRateHz;
        if (atSample >= sampleCount) {
          const allowed = `below ${sampleCount / sampleRateHz}`;
          const complaints = [{ path: "at", found: String(query.at), allowed }];
          throw new Problem("not-fitting", "The recording has ended by then.", { complaints });
        }
        const around = { fromSample: atSample - reachSamples, toSample: atSample + reachSamples };
        refuseLong(recording, around, MOST_EDGE_SAMPLES, "reach");
        const tuned = tunedAt(recording, atSample);
        const asksBand = query.lowHz !== undefined || query.highHz !== undefined;
        const there = asksBand ? undefined : fillingFirst(await soughtIn(recording), around)[0];
        // All edges of a burst tell the clock that each is held against.
        const range = {
          fromSample: Math.max(tuned.fromSample, Math.min(around.fromSample, there?.fromSample ?? atSample)),
          toSample: Math.min(tuned.toSample, Math.max(around.toSample, there?.toSample ?? atSample)),
        };
        refuseLong(recording, range, MOST_SAMPLES, "reach");
        const cut = cutOf(folder, recording, range, (there ? EDGE_SECONDS : ALONE_SECONDS) * sampleRateHz);
        const band = bandIn(cut, query, bandOf(there));
        const edge = await pool.measure({
          kind: "edge",
          cut,
          band: fromCentre(cut, band),
          atSample,
          reachSamples,
          symbolSamples: there?.symbolRate && sampleRateHz / there.symbolRate,
          modulation: there?.burst.modulation ?? undefined,
        });
        const because = `No level and no tone changes clearly within ${query.reach} s of that.`;
        if (!edge) return { status: 200, body: { edge: null, because, ...band } };
        const atRf = (hz: number | undefined) => (hz === undefined ? null : hz + (cut.centreHz ?? 0));
        const found = {
          atSeconds: edge.at / sampleRateHz,
          sample: edge.at,
          kind: edge.kind,
          levelBeforeDbfs: levelDbfs(edge.levelBefore),
          levelAfterDbfs: levelDbfs(edge.levelAfter),
          frequencyBeforeHz: atRf(edge.hzBefore),
          frequencyAfterHz: atRf(edge.hzAfter),
          sigmaSamples: edge.sigma,
        };
        return { status: 200, body: { edge: found, because: null, ...band } };
      },
    }),
    route({
      method: "get",
      path: "/recordings/{hash}/measures",
      summary: "What can be measured of the burst that fills most of a stretch",
      notes: `?from and ?to are seconds. ${INDICATIVE} Rise and fall are from 10 % to 90 % of the amplitude's step; drift
is a straight line through the carrier's frequency; the occupied band is that of 47 CFR 2.202. Where no burst lies in the
stretch its levels are told. Where several are on at once, ?burst names one by its index. At most ${MOST_SAMPLES} samples.`,
      query: MeasuresQuery,
      answers: { 200: { says: "The measures; null where one cannot be told, with why.", body: MeasuresBody } },
      problems: ["not-found", "not-fitting", "samples-gone", "samples-elsewhere"],
      async handle({ params, query }) {
        const recording = await withSamples(params["hash"]);
        const { sampleRateHz } = recording;
        const range = rangeOf(recording, query);
        const layouts = shelf.current();
        const all = await soughtIn(recording);
        const named = all.filter(({ burst }) => query.burst === undefined || burst.index === query.burst);
        const likely = fillingFirst(named, range).slice(0, MOST_TRIED);
        for (const sought of likely) {
          const { found, carrierKnown } = await measureBurst(house, recording, sought);
          if (found) {
            const body = burstBody(sought.burst.index, found, layouts, sampleRateHz, carrierKnown);
            return { status: 200, body };
          }
        }
        refuseLong(recording, range, MOST_SAMPLES, "to");
        const cut = cutOf(folder, recording, range, 0);
        const found = await pool.measure({ kind: "stretch", cut });
        const because =
          likely.length > 0
            ? "The burst there is too faint to be measured again by itself."
            : "No burst was found in this stretch.";
        const at = { fromSeconds: cut.fromSample / sampleRateHz, toSeconds: cut.toSample / sampleRateHz };
        return { status: 200, body: stretchBody(found, at, sampleRateHz, because) };
      },
    }),
    route({
      method: "get",
      path: "/recordings/{hash}/timing",
      summary: "When each sensor sent, held against the rules for periodic senders",
      notes: `From the telegrams of the analysis; ?identity for one sensor. Indicative: the rules are those of
47 CFR 15.231(e) and of ERC/REC 70-03 as far as they were read, each with how sure it is.`,
      query: TimingQuery,
      answers: { 200: { says: "The sensors; none is an empty list.", body: TimingBody } },
      problems: ["not-found"],
      async handle({ params, query }) {
        const { hash, sampleCount, sampleRateHz } = await recordingOf(params["hash"]);
        const [bursts, telegrams] = await Promise.all([store.burstsOf(hash), store.telegramsOf(hash)]);
        const heard = telegrams.flatMap(({ identity, telegram }) =>
          telegram.verified && identity !== null && (query.identity ?? identity) === identity
            ? [{ identity, telegram }]
            : [],
        );
        const recordingSeconds = sampleCount / sampleRateHz;
        const sensors = sensorTimings(heard, bursts, shelf.current(), recordingSeconds).map((sensor) => ({
          ...sensor,
          repeatSeconds: sensor.repeatSeconds ?? null,
          copyGapSeconds: sensor.copyGapSeconds ?? null,
          transmissions: sensor.transmissions.map((one) => ({ ...one, silentSeconds: one.silentSeconds ?? null })),
          rules: sensor.rules.map((rule) => ({ ...rule, measured: rule.measured ?? null })),
        }));
        return { status: 200, body: { indicative: true, recordingSeconds, assumes: [...TIMING_ASSUMES], sensors } };
      },
    }),
    route({
      method: "get",
      path: "/recordings/{hash}/spectrum",
      summary: "Power over the band of a stretch",
      notes: `?from and ?to are seconds; ?lines is a power of two, ${LINES} where it is left out. A mean of spectra of
pieces that overlap by half, each through a Hann window. At most ${MOST_SAMPLES} samples.`,
      query: SpectrumQuery,
      answers: { 200: { says: "The spectrum.", body: SpectrumBody } },
      problems: ["not-found", "not-fitting", "samples-gone", "samples-elsewhere"],
      async handle({ params, query }) {
        const recording = await withSamples(params["hash"]);
        const { sampleRateHz } = recording;
        const { lines = LINES } = query;
        const range = rangeOf(recording, query);
        refuseLong(recording, range, MOST_SAMPLES, "to");
        const cut = cutOf(folder, recording, range, 0);
        const samples = cut.toSample - cut.fromSample;
        if ((lines & (lines - 1)) !== 0 || samples < lines) {
          const allowed = `a power of two, at most the ${samples} samples of the stretch`;
          const complaints = [{ path: "lines", found: String(lines), allowed }];
          throw new Problem("not-fitting", "The stretch cannot be shown in so many lines.", { complaints });
        }
        const found = await pool.measure({ kind: "spectrum", cut, lines });
        const centreHz = cut.centreHz ?? 0;
        const { lineHz, resolutionHz, segments } = found;
        const lowHz = centreHz - sampleRateHz / 2 - lineHz / 2;
        const isCut = cut.fromSample > range.fromSample + 1 || cut.toSample < range.toSample - 1;
        const body = {
          fromSeconds: cut.fromSample / sampleRateHz,
          toSeconds: cut.toSample / sampleRateHz,
          centreHz: cut.centreHz ?? null,
          lowHz,
          highHz: lowHz + sampleRateHz,
          lineHz,
          resolutionHz,
          window: "Hann",
          segments,
          dbfs: Array.from(found.power, (power) => Number(powerDbfs(power).toFixed(2))),
          noiseDbfs: powerDbfs(found.noise),
          nominal: cut.centreHz === undefined ? [] : nominalCarriers(shelf.current(), lowHz, lowHz + sampleRateHz),
          because: isCut
            ? "The receiver was tuned anew within this stretch; only the part about its middle is shown."
            : null,
        };
        return { status: 200, body };
      },
    }),
    route({
      method: "get",
      path: "/recordings/{hash}/bursts/{index}/symbols",
      summary: "Where the symbols of a burst lie",
      notes: `Found anew on the stored samples: by the layout of its telegram or of its nearest try, else by its own
clock. Of a burst that holds several telegrams ?at, in seconds, says which; the first where it is left out.`,
      query: SymbolsQuery,
      answers: { 200: { says: "The symbols, or why there are none.", body: BurstSymbolsBody } },
      problems: ["not-found", "not-fitting", "samples-gone", "samples-elsewhere"],
      async handle({ params, query }) {
        const recording = await withSamples(params["hash"]);
        const own = (await soughtIn(recording)).filter(({ burst }) => String(burst.index) === params["index"]);
        const at = query.at === undefined ? undefined : query.at * recording.sampleRateHz;
        const sought = (at !== undefined && own.find((one) => at >= one.fromSample && at < one.toSample)) || own[0];
        if (!sought) {
          const nextSteps = ["See the list at /recordings/{hash}/bursts."];
          throw new Problem("not-found", `There is no burst ${params["index"]} in that recording.`, { nextSteps });
        }
        const cut = cutAround(house, recording, sought);
        const { layout, telegram } = sought;
        const found = await pool.measure({
          kind: "symbols",
          cut,
          sought: placeOf(sought),
          layout,
          bits: telegram?.bits,
        });
        if (!found) {
          const because = "Its edges keep no clock, and no layout's start was found in it.";
          return { status: 200, body: { found: null, because } };
        }
        return { status: 200, body: { found: { ...found, confidence: [...found.confidence] }, because: null } };
      },
    }),
  ];
}

/** Where its edges are looked for. */
function bandOf(there: SoughtBurst | undefined) {
  if (there?.edgeReachHz === undefined) return undefined;
  return { lowHz: there.carrierHz - there.edgeReachHz, highHz: there.carrierHz + there.edgeReachHz };
}

/** Nominal carriers in a band or just beside it, each with its layouts. */
function nominalCarriers(layouts: readonly Layout[], lowHz: number, highHz: number) {
  const beside = BESIDE_SHARE * (highHz - lowHz);
  const all = [...new Set(layouts.flatMap(({ carrierHz }) => carrierHz))].sort((a, b) => a - b);
  return all
    .filter((hz) => hz >= lowHz - beside && hz <= highHz + beside)
    .map((carrierHz) => ({
      carrierHz,
      inBand: carrierHz >= lowHz && carrierHz <= highHz,
      layouts: layouts.filter((layout) => layout.carrierHz.includes(carrierHz)).map(({ id }) => id),
    }));
}

function levelDbfs(level: number): number {
  return powerDbfs(level * level);
}

function powerDbfs(power: number): number {
  return 10 * Math.log10(Math.max(power, 1e-20));
}
