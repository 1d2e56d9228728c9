// Writes the results of many inputs with made-up records, and tells the most memory that it took, in KiB.
// node --import tsx write-many-results.ts FOLDER INPUTS
import { writeResults } from "../../server/study/results/writeResults.ts";
import { talkingSensor } from "./study-records.ts";
import { resultInput, studyFacts } from "./study-results.ts";

const [folder = "", count = ""] = process.argv.slice(2);
const inputs = Array.from({ length: Number(count) }, (_, index) => resultInput(index));
await writeResults(folder, studyFacts(inputs), oneByOne());
process.stdout.write(String(process.resourceUsage().maxRSS));

function* oneByOne() {
  for (const { index } of inputs) yield { index, records: () => talkingSensor(20, 0.5 + (index % 7)) };
}
