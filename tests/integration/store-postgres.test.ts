import { afterAll, beforeAll, describe } from "vitest";
import { openPostgresStore } from "../../server/store/postgres/postgres.ts";
import { noFleet } from "../support/fleet.ts";
import { type Postgres, startPostgres } from "../support/postgres.ts";
import { storeSuite } from "../support/store-suite.ts";

describe.skipIf(noFleet)("the PostgreSQL store", () => {
  let server: Postgres;
  beforeAll(async () => {
    server = await startPostgres();
  });
  afterAll(async () => {
    await server?.close();
  });

  storeSuite("a PostgreSQL database", async () => openPostgresStore(await server.database()));
});
