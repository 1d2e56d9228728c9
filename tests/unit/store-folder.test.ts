import { spawn } from "node:child_process";
import { once } from "node:events";
import { existsSync, rmSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { defaultDataFolder, openDataFolder, recordingFile } from "../../server/store/dataFolder.ts";
import { openSqliteStore } from "../../server/store/sqlite.ts";
import { temporaryFolder } from "../support/folder.ts";

let base = "";
beforeEach(() => {
  base = temporaryFolder("data-folder");
});
afterEach(() => {
  rmSync(base, { recursive: true, force: true });
});

describe("a data folder", () => {
  it("is made with what belongs in it, and only its owner may look inside", async () => {
    const path = join(base, "deep", "inside");
    const folder = await openDataFolder(path);
    expect(folder.path).toBe(path);
    expect(statSync(folder.recordingsDir).isDirectory()).toBe(true);
    expect(statSync(folder.incomingDir).isDirectory()).toBe(true);
    expect(statSync(path).mode & 0o077).toBe(0);
    const store = await openSqliteStore(folder.databaseFile);
    await store.close();
    expect(existsSync(folder.databaseFile)).toBe(true);
    await folder.release();
  });

  it("keeps what is in it when it is opened again", async () => {
    const first = await openDataFolder(base);
    writeFileSync(recordingFile(first, "ab"), "samples");
    await first.release();
    await first.release();
    const second = await openDataFolder(base);
    expect(existsSync(recordingFile(second, "ab"))).toBe(true);
    await second.release();
  });

  it("is not shared by two servers of one process", async () => {
    const first = await openDataFolder(base);
    await expect(openDataFolder(base)).rejects.toMatchObject({ code: "busy", file: base });
    await first.release();
    await (await openDataFolder(base)).release();
  });

  it("is not shared by two processes, and is taken over from one that was killed", async () => {
    const script = fileURLToPath(new URL("../support/store-hold-folder.ts", import.meta.url));
    const holder = spawn(process.execPath, ["--import", "tsx", script, base], { stdio: ["ignore", "pipe", "inherit"] });
    await once(holder.stdout, "data");
    const refusal = new RegExp(`in use by another server, process ${holder.pid}\\..*--data`);
    await expect(openDataFolder(base)).rejects.toThrow(refusal);
    await expect(openDataFolder(base)).rejects.toThrow(refusal); // being refused changes nothing
    const ended = once(holder, "close");
    holder.kill("SIGKILL");
    await ended;
    expect(existsSync(join(base, "server.pid"))).toBe(true); // as the dead one left it
    const mine = await openDataFolder(base);
    await expect(openDataFolder(base)).rejects.toThrow(`process ${process.pid}.`);
    await mine.release();
  });

  it("is refused where a file stands in its place, with a way out", async () => {
    const path = join(base, "file");
    writeFileSync(path, "");
    await expect(openDataFolder(path)).rejects.toThrow(/file: cannot be used as the data folder.*--data/);
    await expect(openDataFolder(path)).rejects.toMatchObject({ code: "unreachable", file: path });
  });
});

describe("without a name it is the user's own", () => {
  it.each([
    ["linux", {}, "/home/kim", "/home/kim/.local/share/wheelgram"],
    ["linux", { XDG_DATA_HOME: "/data/kim" }, "/home/kim", "/data/kim/wheelgram"],
    ["linux", { XDG_DATA_HOME: "here" }, "/home/kim", "/home/kim/.local/share/wheelgram"],
    ["linux", { XDG_DATA_HOME: "" }, "/home/kim", "/home/kim/.local/share/wheelgram"],
    ["freebsd", {}, "/home/kim", "/home/kim/.local/share/wheelgram"],
    ["darwin", { XDG_DATA_HOME: "/data" }, "/Users/kim", "/Users/kim/Library/Application Support/Wheelgram"],
    ["win32", { LOCALAPPDATA: "/local" }, "/users/kim", "/local/Wheelgram"],
    ["win32", {}, "/users/kim", "/users/kim/AppData/Local/Wheelgram"],
  ] as const)("on %s with %j", (platform, env, home, path) => {
    expect(defaultDataFolder(platform, env, home)).toBe(path);
  });
});
