import { z } from "zod";
import { SAMPLE_TYPES } from "../../../decoders/sources.ts";
import { RATE_RANGE_HZ } from "../../recordings/recording.ts";
import type { StoredRecording } from "../../store/store.ts";
import { recordingBody, telegramBody } from "../bodies.ts";
import type { House } from "../house.ts";
import { makeEnvelope } from "../makeEnvelope.ts";
import { Problem } from "../problem.ts";
import { placeState, recordingFiles, removeRecordingFiles, samplesOf } from "../recordingFiles.ts";
import { type Route, route } from "../route.ts";
import { samplesHere } from "../samplesHere.ts";
import { signalColumns } from "../signal.ts";
import { MOST_FREQUENCY_SAMPLES, signalFrequency } from "../signalFrequency.ts";
import { MAX_NAME_LENGTH, takeUpload, type UploadLimits } from "../upload.ts";
import { BurstBody, RecordingBody, SignalBody, StoredTelegramBody } from "../wire.ts";

const UploadQuery = z.strictObject({
  name: z.string().min(1).max(MAX_NAME_LENGTH).optional(),
  metaBytes: z.int().min(1).optional(),
  type: z.enum(SAMPLE_TYPES).optional(),
  rate: z.number().min(RATE_RANGE_HZ[0]).max(RATE_RANGE_HZ[1]).optional(),
  carrier: z.number().positive().max(1e12).optional(),
});

const SignalQuery = z.strictObject({
  from: z.number().min(0).optional(),
  to: z.number().min(0).optional(),
  columns: z.int().min(1).max(4096).optional(),
  frequency: z.enum(["true", "false"]).optional(),
  lowHz: z.number().optional(),
  highHz: z.number().optional(),
});

const UPLOAD_NOTES = `The body is the file as it is. Its kind is told by the ending of its name, in ?name= or in the
header Content-Disposition, and where that says nothing by its first bytes: a SigMF archive (.sigmf), a WAVE file of two
channels and 16 bits (.wav, with ?carrier=), or raw samples with ?type=, ?rate= and ?carrier=. The two files of a SigMF
recording go in one body, the metadata first, with ?metaBytes= saying how many bytes of it that is; or as an archive.
The same samples are kept once, whatever file they come in.`;

/** How many columns a picture has where nobody says. */
const COLUMNS = 1024;

export function recordingRoutes(house: House, limits: UploadLimits): readonly Route[] {
  const { store, folder, events, analyses, oneAtATime, taker, arrivals, fleetSamples } = house;

  async function recordingOf(hash: string | undefined) {
    const recording = await store.recording(hash ?? "");
    if (recording) return recording;
    throw new Problem("not-found", `There is no recording ${hash}.`, { nextSteps: ["See the list at /recordings."] });
  }

  async function bodyNow(recording: StoredRecording): Promise<RecordingBody> {
    const restSeconds = analyses.restSeconds(recording.hash);
    const { place, hash } = recording;
    // What lies in the folder of another server is fetched from there.
    const isHere = place && !(await fleetSamples?.isElsewhere(hash));
    if (!isHere) return recordingBody(recording, { restSeconds });
    return recordingBody(recording, { restSeconds, placeState: await placeState(folder, place) });
  }

  return [
    route({
      method: "get",
      path: "/recordings",
      summary: "All recordings, newest first",
      answers: { 200: { says: "The recordings; none is an empty list.", body: z.array(RecordingBody) } },
      handle: async () => ({ status: 200, body: await Promise.all((await store.recordings()).map(bodyNow)) }),
    }),
    route({
      method: "post",
      path: "/recordings",
      summary: "Add a recording; its analysis begins at once",
      notes: `${UPLOAD_NOTES} At most ${limits.maxBytes} bytes.`,
      query: UploadQuery,
      body: "octets",
      answers: {
        201: { says: "It was added.", body: RecordingBody, headers: { Location: "its address" } },
        200: { says: "The same samples were there before.", body: RecordingBody, headers: { Location: "its address" } },
      },
      problems: ["not-fitting", "too-large", "too-slow", "no-recording", "no-room"],
      async handle({ query, request }) {
        const upload = await takeUpload(request, folder.incomingDir, limits, query);
        try {
          const { path, name, hints } = upload;
          const kept = await arrivals.keep({ path, name, hints, own: true });
          if (!kept.ok) throw new Problem("no-recording", upload.named(kept.error.message));
          const { recording, known } = kept.value;
          const headers = { Location: `/api/v1/recordings/${recording.hash}` };
          return { status: known ? 200 : 201, body: recordingBody(recording), headers };
        } finally {
          await upload.remove();
        }
      },
    }),
    route({
      method: "get",
      path: "/recordings/{hash}",
      summary: "One recording",
      answers: { 200: { says: "The recording.", body: RecordingBody } },
      problems: ["not-found"],
      handle: async ({ params }) => ({ status: 200, body: await bodyNow(await recordingOf(params["hash"])) }),
    }),
    route({
      method: "delete",
      path: "/recordings/{hash}",
      summary: "Remove a recording with its notes and all that was found in it",
      notes: "The file of one that is read in place stays where it is.",
      answers: { 204: { says: "It is gone." } },
      problems: ["not-found"],
      async handle({ params }) {
        const { hash } = await recordingOf(params["hash"]);
        analyses.cancel(hash);
        await oneAtATime(async () => {
          // Files first: an end in between leaves what can be removed again, not files that nobody knows of.
          await removeRecordingFiles(folder, hash);
          await store.removeRecording(hash);
        });
        await events.publish("recording", { hash });
        return { status: 204 };
      },
    }),
    route({
      method: "post",
      path: "/recordings/{hash}/analysis",
      summary: "Analyse a recording again, with the layouts that are on the shelf now",
      answers: { 202: { says: "It has begun; events tell how it goes.", body: RecordingBody } },
      problems: ["not-found"],
      async handle({ params }) {
        const recording = await recordingOf(params["hash"]);
        void analyses.start(recording).catch(() => undefined); // the store has why
        const analysis = { state: "waiting", because: null, progress: 0 } as const;
        return { status: 202, body: recordingBody({ ...recording, analysis }) };
      },
    }),
    route({
      method: "delete",
      path: "/recordings/{hash}/analysis",
      summary: "Stop the analysis of a recording",
      notes: "Nothing of the recording is lost; what an earlier analysis found stays. It can be analysed again.",
      answers: { 200: { says: "It stopped, or none ran.", body: RecordingBody } },
      problems: ["not-found"],
      async handle({ params }) {
        const { hash } = await recordingOf(params["hash"]);
        await analyses.stopOne(hash);
        return { status: 200, body: await bodyNow(await recordingOf(hash)) };
      },
    }),
    route({
      method: "get",
      path: "/recordings/{hash}/bursts",
      summary: "The bursts of a recording with their check ladders, in order of time",
      notes: "Empty until the analysis is done; the recording says how far it is.",
      answers: { 200: { says: "The bursts.", body: z.array(BurstBody) } },
      problems: ["not-found"],
      async handle({ params }) {
        const { hash } = await recordingOf(params["hash"]);
        return { status: 200, body: await store.burstsOf(hash) };
      },
    }),
    route({
      method: "get",
      path: "/recordings/{hash}/telegrams",
      summary: "The telegrams of a recording, in order of time",
      notes: "Empty until the analysis is done; the recording says how far it is.",
      answers: { 200: { says: "The telegrams.", body: z.array(StoredTelegramBody) } },
      problems: ["not-found"],
      async handle({ params }) {
        const { hash } = await recordingOf(params["hash"]);
        return { status: 200, body: (await store.telegramsOf(hash)).map(telegramBody) };
      },
    }),
    route({
      method: "get",
      path: "/recordings/{hash}/signal",
      summary: "Least and most level of a stretch, column by column",
      notes: `?from and ?to are seconds, the whole recording where they are left out; ?columns is ${COLUMNS} then. No
sample is left out of its column; one that is made from blocks may show up to a quarter of a column of its neighbours.
?frequency=true adds the least and most frequency of each column within ?lowHz to ?highHz, for up to
${MOST_FREQUENCY_SAMPLES} samples.`,
      query: SignalQuery,
      answers: { 200: { says: "The columns.", body: SignalBody } },
      problems: ["not-found", "not-fitting", "samples-gone", "samples-elsewhere"],
      async handle({ params, query }) {
        const kept = await recordingOf(params["hash"]);
        const { sampleRateHz, sampleType, sampleCount } = kept;
        const seconds = sampleCount / sampleRateHz;
        const { from = 0, to = seconds, columns = COLUMNS } = query;
        const fromSample = from * sampleRateHz;
        const toSample = Math.min(sampleCount, to * sampleRateHz);
        if (!(toSample > fromSample)) {
          const complaints = [{ path: "to", found: String(to), allowed: `more than from, from below ${seconds}` }];
          throw new Problem("not-fitting", "The stretch holds no sample.", { complaints });
        }
        const recording = await samplesHere(house, kept);
        const { envelope } = recordingFiles(folder, recording.hash);
        const { path: data, fromByte } = samplesOf(folder, recording);
        const files = {
          data,
          fromByte,
          envelope,
          sampleType,
          sampleCount,
          makeEnvelope: () => makeEnvelope(taker, folder, recording),
        };
        const found = await signalColumns(files, { fromSample, toSample, columns });
        const body = { fromSeconds: from, toSeconds: toSample / sampleRateHz, columns, ...found };
        if (query.frequency !== "true") return { status: 200, body };
        const range = { fromSample, toSample };
        return { status: 200, body: { ...body, ...(await signalFrequency(house, recording, range, columns, query)) } };
      },
    }),
  ];
}
