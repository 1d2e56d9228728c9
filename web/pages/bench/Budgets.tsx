import type { JSX } from "preact";
import { pressureIn } from "../../../decoders/units.ts";
import type { LotBody, SpecimenMoreBody } from "../../../server/http/wire/lots.ts";
import { useSettings } from "../../device.ts";
import { setPointWords } from "../../model/bench/lotWords.ts";
import { figure } from "../../model/quantities.ts";
import { Table } from "../../views/Table.tsx";

type Budget = SpecimenMoreBody["budgets"][number];

interface BudgetsProps {
  readonly budgets: readonly Budget[];
  readonly lot: LotBody;
}

/** Where the uncertainty of each error comes from, part by part. */
export function Budgets({ budgets, lot }: BudgetsProps): JSX.Element | null {
  const { pressure } = useSettings();
  if (budgets.length === 0) return null;
  return (
    <section aria-labelledby="specimen-budgets">
      <h2 id="specimen-budgets">Where the uncertainty comes from</h2>
      {budgets.map((budget) => {
        const point = lot.setPoints[budget.setPoint];
        const isPressure = budget.unit === "kPa";
        const shown = (value: number) => fine(isPressure ? pressureIn(pressure, value) : value);
        const unit = isPressure ? pressure : budget.unit;
        const name = point ? setPointWords(point, pressure) : budget.of;
        return (
          <details key={`${budget.setPoint} ${budget.of}`}>
            <summary>
              {name}: ± {shown(budget.expanded)} {unit}, k = {figure(budget.coverage, 2)}
            </summary>
            <Table
              caption={`${budget.of}: standard uncertainties, ${unit}`}
              rows={budget.parts}
              keyOf={({ of }) => of}
              empty={{ says: "It has no parts.", action: { label: "All lots", href: "/bench" } }}
              columns={[
                { name: "Part", cell: ({ of }) => of },
                { name: "Where from", cell: ({ says }) => says },
                { name: "Evaluated", cell: ({ evaluation }) => EVALUATED[evaluation] },
                { name: "Spread", cell: ({ distribution }) => DISTRIBUTIONS[distribution] },
                { name: "Standard", figures: true, cell: ({ standard }) => shown(standard) },
                { name: "Freedom", figures: true, cell: ({ freedom }) => freedomWords(freedom) },
              ]}
            />
            <p>
              Together {shown(budget.standard)} {unit} with {freedomWords(budget.freedom)} degrees of freedom; times k ={" "}
              {figure(budget.coverage, 2)} that is ± {shown(budget.expanded)} {unit} at{" "}
              {figure(100 * budget.confidence, budget.confidence > 0.99 ? 1 : 0)} % confidence.
            </p>
          </details>
        );
      })}
    </section>
  );
}

const EVALUATED = { A: "A, from readings", B: "B, from other knowledge" } as const;
const DISTRIBUTIONS = { normal: "normal", rectangular: "rectangular", student: "Student's t" } as const;

function freedomWords(freedom: number | null): string {
  return freedom === null ? "endless" : figure(freedom, freedom < 100 ? 1 : 0);
}

/** Two digits that count, as uncertainties are told. */
function fine(value: number): string {
  if (value === 0) return "0";
  const decimals = Math.min(6, Math.max(0, 1 - Math.floor(Math.log10(Math.abs(value)))));
  return figure(value, decimals);
}
