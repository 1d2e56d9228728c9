import { execFileSync } from "node:child_process";
import { existsSync, readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";
import { parse } from "yaml";
import { runCommand } from "../support/run-command.ts";

const textOf = (name: string) => readFileSync(pathOf(name), "utf8");
const pathOf = (name: string) => fileURLToPath(new URL(`../../server/fleet/examples/${name}`, import.meta.url));
const UNITS = ["wheelgram-serve.service", "wheelgram-work@.service"];
const FLEET = "nats://10.0.0.1:4222,10.0.0.2:4222,10.0.0.3:4222";
const STORE = "postgres://wheelgram@10.0.0.4/wheelgram";

interface Service {
  readonly image: string;
  readonly command?: readonly string[];
  readonly volumes?: readonly string[];
  readonly healthcheck?: { readonly test: readonly string[] };
}

/** What the command says of options that are wrong or missing; "" where all of them are right. */
async function complaintOf(args: readonly string[]): Promise<string> {
  // Everything is read, and then refused for the one option that is not there.
  const { stderr } = await runCommand([...args, "--no-such-option-is-there"]);
  return stderr.replace(/^wheelgram: unknown option '--no-such-option-is-there'; see .*\n/, "");
}

function commandOf(unit: string): string[] {
  const line = /^ExecStart=\S*\/wheelgram (.*)$/m.exec(textOf(unit))?.[1] ?? "";
  const filled = line.replaceAll("%H", "yard-1").replaceAll("%i", "0");
  // biome-ignore lint/suspicious/noTemplateCurlyInString: so systemd writes it
  return filled.replace("${WHEELGRAM_FLEET}", FLEET).replace("${WHEELGRAM_STORE}", STORE).split(" ");
}

describe("the compose file", () => {
  const { services, volumes } = parse(textOf("compose.yaml"), { merge: true }) as {
    services: Record<string, Service>;
    volumes: Record<string, null>;
  };

  it("has three NATS servers, PostgreSQL, a server and two workers, each of one version", () => {
    expect(Object.keys(services)).toEqual(["nats-0", "nats-1", "nats-2", "postgres", "office", "worker-0", "worker-1"]);
    for (const { image } of Object.values(services)) expect(image).toMatch(/^[a-z]+:\d+\.\d+/);
  });

  it("keeps what has to last in volumes that it names, and looks how the servers are", () => {
    const used = Object.values(services).flatMap((one) => (one.volumes ?? []).map((volume) => volume.split(":")[0]));
    expect(used.toSorted()).toEqual(Object.keys(volumes).toSorted());
    for (const name of ["nats-0", "nats-1", "nats-2", "postgres", "office"]) {
      expect([name, services[name]?.healthcheck?.test[0]]).toEqual([name, "CMD"]);
    }
  });

  it.each(["office", "worker-0", "worker-1"])("starts %s with options that the command has", async (name) => {
    expect(await complaintOf(services[name]?.command ?? [])).toBe("");
  });

  it("names the NATS servers by the ports that they have", () => {
    const routes = ["nats-0", "nats-1", "nats-2"].map((name) => services[name]?.command?.at(-1));
    expect(routes[0]).toBe("nats://nats-1:6222,nats://nats-2:6222");
    expect(services["worker-0"]?.command).toContain("nats://nats-0:4222,nats-1:4222,nats-2:4222");
  });
});

describe.each(UNITS)("the unit %s", (unit) => {
  it("starts it with options that the command has", async () => {
    expect(await complaintOf(commandOf(unit))).toBe("");
  });

  it.skipIf(!existsSync("/usr/bin/systemd-analyze"))("is one that systemd takes", () => {
    const said = execFileSync("sh", ["-c", `systemd-analyze verify "$1" 2>&1 || true`, "sh", pathOf(unit)], {
      encoding: "utf8",
    });
    const ours = said.split("\n").filter((line) => line.includes("wheelgram"));
    // That the program is not installed here is no fault of the unit.
    expect(ours.filter((line) => !/is not executable: No such file/.test(line))).toEqual([]);
  });
});

it("finds an option that the command does not have", async () => {
  expect(await complaintOf(["work", "--fleet", FLEET, "--store", STORE, "--wheels", "4"])).toContain("--wheels");
});
