import chandlersVan from "./chandlers-van.json" with { type: "json" };
import craneTug from "./crane-tug.json" with { type: "json" };
import ferryShuttle from "./ferry-shuttle.json" with { type: "json" };
import iceLorry from "./ice-lorry.json" with { type: "json" };
import lifeboatCarrier from "./lifeboat-carrier.json" with { type: "json" };
import marketBike from "./market-bike.json" with { type: "json" };
import netLoftVan from "./net-loft-van.json" with { type: "json" };
import pilotCar from "./pilot-car.json" with { type: "json" };
import type { Layout } from "./schema.ts";
import { parseLayout } from "./validate.ts";

const files: readonly unknown[] = [
  chandlersVan,
  craneTug,
  ferryShuttle,
  iceLorry,
  lifeboatCarrier,
  marketBike,
  netLoftVan,
  pilotCar,
];

/** The layouts that come with the house: an invented harbour town's fleet, ascending by id. */
export const builtinLayouts: readonly Layout[] = files.map((file) => {
  const parsed = parseLayout(file);
  if (!parsed.ok) throw new Error(`a layout of the house is broken: ${JSON.stringify(parsed.complaints)}`);
  return parsed.layout;
});
