import { identityOf } from "../jobs/jobCard.ts";
import { registrationOf } from "../jobs/registration.ts";
import { RELEARN_IDS, relearnOf } from "../jobs/relearn.ts";
import { troubleCodes } from "../jobs/troubleCodes.ts";
import { compareList } from "../jobs/vehicleList/compareList.ts";
import { readVehicleList } from "../jobs/vehicleList/readVehicleList.ts";
import type { JobBody, PuttingRightBody } from "./wire.ts";

/** What puts a car right: its list against what was heard, what to register and how. */
export function puttingRight(job: JobBody): PuttingRightBody {
  const { entries, refused } = readVehicleList(job.vehicleList);
  const wheels = job.lines.map((line) => ({
    position: line.position,
    identity: identityOf(line) ?? null,
    heard: line.state === "heard",
  }));
  const ours = job.others.filter(({ side }) => side === "this car").map(({ identity }) => identity);
  const compared = compareList(entries, wheels, ours);
  const { lines, missing, qrText } = registrationOf(wheels);
  const kind = RELEARN_IDS.find((id) => id === job.relearn);
  const relearn = kind === undefined ? null : relearnOf(kind);
  return {
    list: {
      entries: compared.entries.map(({ entry, kind: outcome, says }) => ({ text: entry.text, kind: outcome, says })),
      refused: refused.map(({ text, says }) => ({ text, says })),
      wheels: entries.length === 0 ? [] : compared.wheels.map((one) => ({ ...one })),
    },
    registration: {
      lines: lines.map(({ position, large, decimal, qrText: own }) => ({
        position,
        identity: wheels.find((wheel) => wheel.position === position)?.identity ?? "",
        large,
        decimal,
        qrText: own,
      })),
      missing: [...missing],
      qrText,
    },
    kinds: RELEARN_IDS.map((id) => ({ id, name: relearnOf(id).name })),
    relearn:
      relearn === null
        ? null
        : {
            name: relearn.name,
            steps: relearn.steps.map((step) => ({ do: step.do, caution: step.caution ?? null })),
            facts: relearn.facts.map((fact) => ({ ...fact })),
          },
    codes: troubleCodes(job.codesBefore, job.codesAfter).says,
  };
}
