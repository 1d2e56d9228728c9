import { z } from "zod";
import { FleetShape } from "../../fleet/status.ts";

/** How the fleet stands that this server is one of; `null`: it stands alone. */
export const FleetBody = z.strictObject({ fleet: FleetShape.nullable() });
export type FleetBody = z.infer<typeof FleetBody>;
