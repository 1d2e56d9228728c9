import { existsSync } from "node:fs";
import { SerialPort } from "serialport";
import { clockTime, failureText, type Link, type LinkHouse } from "./link.ts";

export interface SerialLink extends Link {
  /** Changes the rate of the open port, and of every opening to come. */
  readonly setBaudRate: (baudRate: number) => Promise<void>;
}

const FIRST_WAIT_MS = 250;
const LONGEST_WAIT_MS = 5000;
/** What a receiver that does not read is kept from filling up. */
const MOST_UNREAD_BYTES = 64 * 1024;
const PROBE_MS = 1000;

/** Names by which Linux knows a device wherever it is plugged in. */
const BY_DEVICE = "/dev/serial/by-id";

/**
 * Ports that the system knows of, each under the name that stays its own when it is plugged in elsewhere, where it has
 * one: a receiver that was set up on it is then found again by itself. A port that is not listed can still be typed.
 */
export async function serialPorts(): Promise<{ readonly path: string; readonly label: string }[]> {
  const ports = await SerialPort.list();
  return ports.map(({ path, manufacturer, serialNumber, pnpId }) => {
    const lasting = `${BY_DEVICE}/${pnpId}`;
    const maker = (manufacturer ?? "Serial port").replaceAll("_", " ");
    const label = [maker, serialNumber].filter((part) => part !== undefined && part !== "").join(" ");
    return {
      path: pnpId !== undefined && existsSync(lasting) ? lasting : path,
      label: `${label} (${path.replace(/^\/dev\//, "")})`,
    };
  });
}

/** Lines from a serial port, opened again for as long as it takes whenever it is unplugged. */
export function serialLink(house: LinkHouse, path: string, firstBaudRate: number): SerialLink {
  const stopping = new AbortController();
  let baudRate = firstBaudRate;
  let port: SerialPort | undefined;
  house.say("connecting", `${path} is being opened.`);
  const running = keepOpen();

  async function keepOpen(): Promise<void> {
    let waitMs = FIRST_WAIT_MS;
    let unplugged: string | undefined;
    while (!stopping.signal.aborted) {
      const next = await opened();
      if (next instanceof Error) {
        // That the port is gone follows from the plug that was pulled, and the sentence about that says more.
        const says = isMissing(next) ? unplugged : undefined;
        if (!stopping.signal.aborted) house.say("away", says ?? refusalText(path, next));
      } else {
        waitMs = FIRST_WAIT_MS;
        port = next;
        const closed = untilClosed(next);
        if (stopping.signal.aborted) closeQuietly(next);
        unplugged = await takeLines(next, closed);
        port = undefined;
        if (!stopping.signal.aborted) house.say("away", unplugged);
      }
      await pause(waitMs, stopping.signal);
      waitMs = Math.min(2 * waitMs, LONGEST_WAIT_MS);
    }
    house.say("stopped", "Stopped. Add it again to listen on.");
  }

  async function opened(): Promise<SerialPort | Error> {
    try {
      const next = new SerialPort({ path, baudRate, autoOpen: false });
      return await new Promise((resume) => next.open((error) => resume(error ?? next)));
    } catch (error) {
      return error instanceof Error ? error : new Error(String(error)); // such as a path of no letters
    }
  }

  /** Until the port is closed by anyone; says why, as a sentence. */
  async function takeLines(open: SerialPort, closed: Promise<void>): Promise<string> {
    let failure: unknown;
    const modemLines = await raiseModemLines(open);
    if (open.isOpen && !stopping.signal.aborted) {
      house.say("listening", `Listening on ${path} at ${baudRate} baud.${modemLines}`);
    }
    const tell = (line: string) => {
      if (open.isOpen && open.writableLength < MOST_UNREAD_BYTES) open.write(`${line}\n`);
    };
    // A new intake for every opening, so that half a line from before is not glued to what comes now.
    const intake = house.open(tell, (error) => {
      failure = error;
      closeQuietly(open);
    });
    let pushing: Promise<void> = Promise.resolve();
    open.on("error", (error) => {
      if (!isGone(error)) failure ??= error;
      closeQuietly(open);
    });
    open.on("data", (bytes: Uint8Array) => {
      open.pause();
      pushing = intake.push(bytes).then(
        () => void open.resume(),
        () => closeQuietly(open),
      );
    });
    const probe = setInterval(() => closeIfGone(open), PROBE_MS);
    // Unplugged, a port says so with one close and no error, or whoever was just writing to it has one.
    await closed;
    clearInterval(probe);
    await pushing;
    await intake.end().catch((error: unknown) => {
      failure = error;
    });
    const at = clockTime(house.now());
    return failure === undefined
      ? `Unplugged at ${at}. Plug it in again; nothing that was acknowledged is lost.`
      : `Closed at ${at}: ${failureText(failure)} It is opened again by itself.`;
  }

  return {
    async setBaudRate(next) {
      baudRate = next;
      const open = port;
      if (!open) return;
      const error = await new Promise<Error | null>((resume) => open.update({ baudRate: next }, resume));
      if (error) closeQuietly(open);
      else house.say("listening", `Listening on ${path} at ${baudRate} baud.`);
    },
    async stop() {
      stopping.abort();
      if (port) closeQuietly(port);
      await running;
    },
  };
}

/** Some adapters send nothing before these are raised; others have no such lines, which is no fault. */
async function raiseModemLines(open: SerialPort): Promise<string> {
  const error = await new Promise<Error | null>((resume) => open.set({ dtr: true, rts: true }, resume));
  return error ? " It has no control lines to raise; if nothing comes, look at the cable." : "";
}

/** A port that is gone already has no more to say. */
function closeQuietly(open: SerialPort): void {
  if (open.isOpen) open.close((error) => error && open.emit("error", error));
}

/** Closed is also a port that could not be closed in order. */
function untilClosed(open: SerialPort): Promise<void> {
  return new Promise((resume) => {
    open.once("close", () => resume());
    open.on("error", () => {
      if (!open.isOpen) resume();
    });
  });
}

/**
 * A port that is unplugged while nobody waits for its bytes may give none from then on, without an error and without an
 * end, and reading it is then an endless loop. Its modem lines cannot be asked for any more; that others never had any
 * is another error.
 */
function closeIfGone(open: SerialPort): void {
  if (!open.isOpen) return;
  open.get((error) => {
    if (error && isGone(error)) closeQuietly(open);
  });
}

function pause(ms: number, signal: AbortSignal): Promise<void> {
  return new Promise((resume) => {
    if (signal.aborted) return resume();
    const done = () => {
      clearTimeout(timer);
      signal.removeEventListener("abort", done);
      resume();
    };
    const timer = setTimeout(done, ms);
    signal.addEventListener("abort", done);
  });
}

/** What systems say of a port whose device is not there any more. */
function isGone({ message }: Error): boolean {
  return /\bE(IO|NXIO|NODEV)\b|input\/output error|no such device|not configured/i.test(message);
}

function isMissing({ message }: Error): boolean {
  return /no such file/i.test(message);
}

function refusalText(path: string, error: Error): string {
  const { message } = error;
  if (isMissing(error)) return `There is no ${path}. Plug the receiver in, or choose another port.`;
  if (/lock|busy|temporarily/i.test(message)) return `Another program has ${path} open. End that program.`;
  if (/permission|access/i.test(message)) {
    return `This user may not open ${path}. Give it the right to (on Linux: the group that owns the device), then wait.`;
  }
  if (/inappropriate ioctl|is a directory/i.test(message)) return `${path} is no serial port. Choose another port.`;
  if (/baud|invalid argument/i.test(message)) return `${path} refuses this baud rate. Choose another one. (${message})`;
  return `${path} cannot be opened: ${message}. Look at the cable and the path; it is tried again.`;
}
