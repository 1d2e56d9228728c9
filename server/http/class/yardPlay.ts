import { allHit, hitChance, loadOf, telegramsPerIndependentOne } from "../../../decoders/radio/aloha.ts";
import type { AnalysisRecord, TelegramRecord } from "../../../decoders/records.ts";
import { grouped } from "../../bench/grouped.ts";
import { wilson } from "../../bench/statistics/proportion.ts";
import type { SentCopyBody, YardPlayBody } from "../wire/yard.ts";
import type { AirResult } from "./airTask.ts";
import type { Yard } from "./yard.ts";

const CONFIDENCE = 0.95;

/** What became of every telegram of a yard: overlaps by the times at which they were sent, the rest by the decoder. */
export function yardPlay(yard: Yard, result: Pick<AirResult, "truth" | "records" | "sampleRateHz">): YardPlayBody {
  const burst = yard.telegramMs / 1000;
  const { sent, misread } = sentCopies(result, burst);
  const perSensor = { count: yard.sensors, burstSeconds: burst, periodSeconds: yard.periodSeconds / yard.copies };
  const load = loadOf(perSensor);
  const hit = hitChance(perSensor);
  const read = sent.filter((one) => one.read).length;
  const overlapped = sent.filter((one) => one.overlapped).length;
  const overlappedRead = sent.filter((one) => one.overlapped && one.read).length;
  const aloneLost = sent.filter((one) => !one.overlapped && !one.read).length;
  const isTold = yard.timing === "varied" && sent.length > 0;
  const shares = (count: number, aloha: number, scale = 1): YardPlayBody["success"] => {
    const interval = isTold ? intervalOf(count, sent.length, load) : undefined;
    const scaled = (value: number) => Math.min(1, value * scale);
    return {
      measured: sent.length === 0 ? null : scaled(count / sent.length),
      from: interval ? scaled(interval.from) : null,
      to: interval ? scaled(interval.to) : null,
      aloha,
    };
  };
  return {
    asked: yard,
    sampleRateHz: result.sampleRateHz,
    telegramSeconds: burst,
    load,
    copies: { sent: sent.length, read, overlapped, overlappedRead, aloneLost, misread },
    telegrams: { ...telegramsOf(sent), allHitAloha: allHit(hit, yard.copies) },
    overlap: shares(overlapped, hit),
    success: shares(read, 1 - hit),
    throughput: shares(read, load * (1 - hit), (sent.length * burst) / yard.seconds),
    because: becauseOf(yard, sent.length, load),
    sent,
  };
}

/** An overlap takes two telegrams at once, so that as many tell less than if each stood for itself. */
function intervalOf(count: number, of: number, load: number) {
  const each = telegramsPerIndependentOne(load);
  const independent = Math.max(1, Math.round(of / each));
  return wilson(Math.min(independent, Math.round(count / each)), independent, CONFIDENCE);
}

function becauseOf({ timing }: Yard, sent: number, load: number): string {
  if (sent === 0) return "Nothing was sent in this time: play it for longer, or let the sensors send more often.";
  if (timing === "strict") {
    return "No interval: with strict periods the same two meet again and again, so the telegrams do not tell more than the few pairs of sensors do.";
  }
  const each = telegramsPerIndependentOne(load);
  return `The intervals hold in 95 of 100 plays (Wilson's score). ${sent} telegrams count as ${Math.max(1, Math.round(sent / each))}, since an overlap mostly takes two.`;
}

function telegramsOf(sent: readonly SentCopyBody[]): Omit<YardPlayBody["telegrams"], "allHitAloha"> {
  const all = [...grouped(sent, ({ sensor, number }) => `${sensor} ${number}`).values()];
  return {
    sent: all.length,
    read: all.filter((copies) => copies.some(({ read }) => read)).length,
    allOverlapped: all.filter((copies) => copies.every(({ overlapped }) => overlapped)).length,
  };
}

function sentCopies({ truth, records }: Pick<AirResult, "truth" | "records">, burst: number) {
  const telegrams = truth.telegrams;
  const heard = records.filter(isVerified);
  // A fast clock makes a telegram a hair shorter; that is far below what matters here.
  const sent = telegrams.map((one, i): SentCopyBody => {
    const meets = (other: (typeof telegrams)[number] | undefined) =>
      other !== undefined && Math.abs(other.atSeconds - one.atSeconds) < burst;
    return {
      sensor: Number(one.sensor.replace(/^\D+/, "")),
      number: Number(one.fields["number"]?.raw ?? 0),
      atSeconds: one.atSeconds,
      overlapped: meets(telegrams[i - 1]) || meets(telegrams[i + 1]),
      read: heard.some((telegram) => isOf(telegram, one, burst)),
    };
  });
  const misread = heard.filter((telegram) => !telegrams.some((one) => isOf(telegram, one, burst))).length;
  return { sent, misread };
}

function isVerified(record: AnalysisRecord): record is TelegramRecord {
  return record.kind === "telegram" && record.verified;
}

function isOf(heard: TelegramRecord, sent: { readonly bits: string; readonly atSeconds: number }, burst: number) {
  return heard.bits === sent.bits && Math.abs(heard.atSeconds - sent.atSeconds) < burst / 2;
}
