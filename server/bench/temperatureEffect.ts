import { mean, sampleCorrelation } from "simple-statistics";
import { fitLine } from "../../decoders/statistics/fitLine.ts";
import { studentT95 } from "../../decoders/statistics/studentT.ts";
import { grouped } from "./grouped.ts";
import type { Paired } from "./pressure.ts";

/** How a specimen's error goes with its temperature. */
export interface TemperatureEffect {
  readonly kpaPerC: number | null;
  readonly expanded: number | null;
  readonly says: string;
}

/** A narrower span tells nothing. @source Common practice, no source. */
const LEAST_SPAN_C = 10;
/** Pressure and temperature each take a degree of freedom, and so does the middle. */
const LEAST_FILLS = 4;
/** Beyond this the temperature mostly says what the pressure was. @source Common practice, no source. */
const MOST_TOGETHER = 0.7;

/**
 * A point for each fill: readings of one fill share its temperature and its error. What goes with the pressure on a
 * straight line is taken off the error and off the temperature alike, so that what is left goes with temperature alone.
 *
 * @source Frisch, R. and Waugh, F. V. (1933): the slope is that of a fit in both at once, of count - 3 degrees of freedom.
 */
export function temperatureEffect(paired: readonly Paired[]): TemperatureEffect {
  const fills = [...grouped(paired, ({ fill }) => fill).values()].flatMap((own) => {
    const warm = own.filter(({ said }) => said.temperatureC !== null);
    if (warm.length === 0) return [];
    return [
      {
        temperatureC: mean(warm.map(({ said }) => said.temperatureC ?? 0)),
        gaugeKpa: mean(warm.map(({ gaugeKpa }) => gaugeKpa)),
        errorKpa: mean(warm.map(({ kpa, gaugeKpa }) => kpa - gaugeKpa)),
      },
    ];
  });
  const [temperatures, pressures, errors] = [
    fills.map(({ temperatureC }) => temperatureC),
    fills.map(({ gaugeKpa }) => gaugeKpa),
    fills.map(({ errorKpa }) => errorKpa),
  ];
  const span = fills.length === 0 ? 0 : Math.max(...temperatures) - Math.min(...temperatures);
  if (span < LEAST_SPAN_C) {
    return untold(
      `Not tested: from fill to fill its temperature moved by ${span.toFixed(1)} °C, and ${LEAST_SPAN_C} °C are needed.`,
    );
  }
  if (fills.length < LEAST_FILLS) {
    return untold(
      `It cannot be told apart from pressure: that takes ${LEAST_FILLS} fills, and there are ${fills.length}.`,
    );
  }
  const isOnePressure = new Set(pressures).size === 1;
  const together = isOnePressure ? 0 : sampleCorrelation(temperatures, pressures);
  if (Math.abs(together) > MOST_TOGETHER) {
    return untold(
      `It cannot be told apart from pressure: both go together (correlation ${together.toFixed(2).replace("-", "−")}). Fill to the same pressures warm and cold.`,
    );
  }
  const x = isOnePressure ? temperatures : withoutLine(pressures, temperatures);
  const y = isOnePressure ? errors : withoutLine(pressures, errors);
  const { slope, sxx, residual } = fitLine(x.map((one, i) => ({ x: one, y: y[i]! })));
  // The fit takes two degrees off; the line in pressure takes one more.
  const freedom = fills.length - (isOnePressure ? 2 : 3);
  const scatter = (residual ?? 0) * Math.sqrt((fills.length - 2) / freedom);
  const expanded = (studentT95(freedom) * scatter) / Math.sqrt(sxx);
  const figure = `${slope.toFixed(3).replace("-", "−")} ± ${expanded.toFixed(3)} kPa per °C over ${span.toFixed(0)} °C, by ${fills.length} fills`;
  const clear = Math.abs(slope) > expanded ? "The error goes with the temperature" : "No effect of temperature is seen";
  return { kpaPerC: slope, expanded, says: `${clear}: ${figure}.` };
}

function untold(says: string): TemperatureEffect {
  return { kpaPerC: null, expanded: null, says };
}

/** What is left of `y` beside its straight line in `x`. */
function withoutLine(x: readonly number[], y: readonly number[]): number[] {
  const { meanX, meanY, slope } = fitLine(x.map((one, i) => ({ x: one, y: y[i]! })));
  return y.map((one, i) => one - meanY - slope * (x[i]! - meanX));
}
