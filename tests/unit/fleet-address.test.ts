import { describe, expect, it } from "vitest";
import { parseFleetAddress } from "../../server/fleet/address.ts";

describe("the address of a fleet", () => {
  it("names servers in their order, with the port 4222 where none is told", () => {
    const read = parseFleetAddress("nats://10.0.0.1:4223, 10.0.0.2 ,nats://[::1]:80,10.0.0.2");
    expect(read.ok && read.value.servers).toEqual(["10.0.0.1:4223", "10.0.0.2:4222", "[::1]:80"]);
  });

  it("takes a user and a password, and never shows them", () => {
    const read = parseFleetAddress("nats://yard:s%40y@h1,h2:99");
    expect(read.ok && read.value).toMatchObject({ user: "yard", password: "s@y", shown: "nats://h1:4222,h2:99" });
  });

  it.each([
    ["http://h1:4222", "found http://h1:4222"],
    ["nats://", "found no host as server 1"],
    ["nats://h1,,h2", "found no host as server 2"],
    ["nats://h1:99999", "found h1:99999 as server 1"],
    ["nats://yard:secret@h1/stream", "found …@h1/stream as server 1"],
    ["postgres://yard:secret@h1", "found postgres://…@h1"],
  ])("refuses %s, saying what is allowed", (text, found) => {
    const read = parseFleetAddress(text);
    expect(read.ok).toBe(false);
    expect(!read.ok && read.error).toContain(`${found}, allowed nats://HOST:PORT`);
    expect(!read.ok && read.error).not.toContain("secret");
  });
});
