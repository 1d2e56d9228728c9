import type { CDPSession } from "@playwright/test";

interface TraceEvent {
  readonly name: string;
  readonly ph: string;
  readonly ts: number;
  readonly dur?: number;
  /** Of `dur` what the thread had the processor for, so that other work on the machine is left out. */
  readonly tdur?: number;
  readonly pid: number;
  readonly tid: number;
}

/**
 * Processor time of the page's thread for each step that `run` marks as `step`, in milliseconds: all tasks, scripts,
 * layout and painting alike, as the browser's own trace has them.
 */
export async function mainThreadWork(cdp: CDPSession, run: () => Promise<unknown>): Promise<number[]> {
  const events: TraceEvent[] = [];
  const take = ({ value }: { value: readonly unknown[] }) => events.push(...(value as TraceEvent[]));
  cdp.on("Tracing.dataCollected", take);
  await cdp.send("Tracing.start", {
    transferMode: "ReportEvents",
    traceConfig: { includedCategories: ["toplevel", "blink.user_timing", "disabled-by-default-devtools.timeline"] },
  });
  await run();
  const complete = new Promise((resume) => cdp.once("Tracing.tracingComplete", resume));
  await cdp.send("Tracing.end");
  await complete;
  cdp.off("Tracing.dataCollected", take);
  const marks = events.filter(({ name }) => name === "step").toSorted((a, b) => a.ts - b.ts);
  const first = marks[0];
  if (!first) throw new Error("the trace has no steps");
  const tasks = events.filter(
    ({ name, ph, pid, tid }) =>
      name === "ThreadControllerImpl::RunTask" && ph === "X" && pid === first.pid && tid === first.tid,
  );
  if (tasks.length === 0) throw new Error("the trace has no tasks of the page's thread");
  // The task that sets a mark does so as it begins: all of it counts for that step.
  const work = marks.slice(0, -1).map(() => 0);
  for (const { ts, dur = 0, tdur = dur } of tasks) {
    const step = marks.findLastIndex((mark) => mark.ts < ts + dur);
    if (step >= 0 && step < work.length) work[step] = (work[step] ?? 0) + tdur / 1000;
  }
  return work;
}
