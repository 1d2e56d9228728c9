import { Client } from "pg";
import { afterAll, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { migrate } from "../../server/store/postgres/migrate.ts";
import { MIGRATIONS } from "../../server/store/postgres/migrations.ts";
import { openPostgresStore } from "../../server/store/postgres/postgres.ts";
import { noFleet } from "../support/fleet.ts";
import { freePort } from "../support/free-port.ts";
import { type Postgres, startPostgres } from "../support/postgres.ts";
import { job } from "../support/store-data.ts";

describe.skipIf(noFleet)("opening a PostgreSQL store", () => {
  let server: Postgres;
  let address = "";
  beforeAll(async () => {
    server = await startPostgres();
  });
  afterAll(async () => {
    await server?.close();
  });
  beforeEach(async () => {
    address = await server.database();
  });
  const changed = <T>(work: (client: Client) => Promise<T>) => withClient(address, work);
  const tables = () =>
    changed(
      async (client) =>
        (await client.query("select relname from pg_class where relnamespace = 'public'::regnamespace order by 1"))
          .rows,
    );

  it("makes the tables once, also where several processes come at the same moment", async () => {
    const stores = await Promise.all(Array.from({ length: 4 }, () => openPostgresStore(address)));
    await stores[0]?.addJob(job("7K3F"));
    expect(await stores[3]?.jobs()).toEqual([job("7K3F")]);
    await Promise.all(stores.map((store) => store.close()));
    const again = await openPostgresStore(address);
    expect(await again.jobs()).toEqual([job("7K3F")]);
    await again.close();
  });

  it("brings an older version up to date in steps, and leaves one as it was whose next step fails", async () => {
    await changed((client) => migrate(client, address, MIGRATIONS));
    const broken = [...MIGRATIONS, "alter table job add column extra text; select nothing from nowhere"];
    await expect(changed((client) => migrate(client, address, broken))).rejects.toThrow(/nowhere/);
    const good = [...MIGRATIONS, "alter table job add column extra text default 'from before'"];
    await changed((client) => migrate(client, address, good));
    await changed((client) => migrate(client, address, good));
    const { rows } = await changed((client) => client.query("select version from wheelgram_store"));
    expect(rows).toEqual([{ version: MIGRATIONS.length + 1 }]);
  });

  it("refuses a newer version, and touches nothing", async () => {
    await (await openPostgresStore(address)).close();
    await changed((client) => client.query("update wheelgram_store set version = 99; drop table job cascade"));
    const before = await tables();
    await expect(openPostgresStore(address)).rejects.toMatchObject({ code: "newer", file: address });
    await expect(openPostgresStore(address)).rejects.toThrow(
      `${address}: made by version 99 of the store, this is version ${MIGRATIONS.length}. Start the newer Wheelgram on it`,
    );
    expect(await tables()).toEqual(before);
  });

  it("refuses a database of another program, and touches nothing", async () => {
    await changed((client) => client.query("create table recipe (name text)"));
    const before = await tables();
    await expect(openPostgresStore(address)).rejects.toMatchObject({ code: "foreign" });
    await expect(openPostgresStore(address)).rejects.toThrow(/tables of another program.*createdb/);
    expect(await tables()).toEqual(before);
  });

  it("refuses one that tells no version of itself", async () => {
    await (await openPostgresStore(address)).close();
    await changed((client) => client.query("delete from wheelgram_store"));
    await expect(openPostgresStore(address)).rejects.toMatchObject({ code: "damaged" });
  });

  it("refuses an encoding that cannot hold every text", async () => {
    await changed((client) => client.query("create database latin encoding latin1 locale 'C' template template0"));
    const latin = address.replace(/\/[^/]*$/, "/latin");
    await expect(openPostgresStore(latin)).rejects.toThrow(/encoding LATIN1.*--encoding UTF8/);
  });

  it.each([
    [
      "no server there",
      async () => `postgres://wheelgram@127.0.0.1:${await freePort()}/d`,
      /nothing listens there\. Start/,
    ],
    ["no such machine", async () => "postgres://wheelgram@nowhere.invalid/d", /no machine of that name is known/],
    ["no such database", async () => address.replace(/\/[^/]*$/, "/none"), /no such database\. Make it with createdb/],
    [
      "no such user",
      async () => address.replace("wheelgram@", "stranger@"),
      /does not let this user in\. See the name/,
    ],
    ["no address of a database", async () => "http://127.0.0.1/d", /^--store: not an address/],
    ["an address without a database", async () => "postgres://wheelgram@127.0.0.1:5432", /not an address/],
  ])("says what is wrong and the way out: %s", async (_, addressOf, said) => {
    const given = await addressOf();
    await expect(openPostgresStore(given)).rejects.toMatchObject({ code: "unreachable" });
    await expect(openPostgresStore(given)).rejects.toThrow(said);
  });

  it("names a wrong password, and never tells it", async () => {
    await changed((client) => client.query("create role guarded login password 'right'"));
    await changed((client) => client.query(`alter system set password_encryption = 'scram-sha-256'`));
    await server.requirePassword("guarded");
    const given = address.replace("wheelgram@", "guarded:wrong@");
    const error = await openPostgresStore(given).catch((cause: unknown) => cause);
    expect(error).toMatchObject({ code: "unreachable", file: address.replace("wheelgram@", "guarded@") });
    expect(String(error)).toMatch(/does not let this user in\. See the name and the password/);
    expect(String(error)).not.toContain("wrong");
  });

  it("says that a user may not make tables", async () => {
    await changed((client) => client.query("create role reader login"));
    const given = address.replace("wheelgram@", "reader@");
    await expect(openPostgresStore(given)).rejects.toThrow(/does not let this user make or change its tables\. Make/);
  });

  it("says so where it is used after it was closed", async () => {
    const store = await openPostgresStore(address);
    await store.close();
    await store.close();
    await expect(store.jobs()).rejects.toMatchObject({ code: "closed", file: address });
    await expect(store.addJob(job("7K3F"))).rejects.toMatchObject({ code: "closed" });
  });
});

/** As any program would, and closes it. */
async function withClient<T>(address: string, work: (client: Client) => Promise<T>): Promise<T> {
  const client = new Client({ connectionString: address });
  await client.connect();
  try {
    return await work(client);
  } finally {
    await client.end();
  }
}
