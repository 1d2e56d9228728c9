import { clockTime, failureText, type Link, type LinkHouse } from "./link.ts";

export type LineStream = AsyncIterable<Uint8Array> & { readonly destroy?: () => unknown };

/**
 * Lines from a stream that is read once and cannot be answered, such as standard input.
 *
 * @param name What it is called in sentences, such as "Standard input".
 */
export function streamLink(house: LinkHouse, name: string, stream: LineStream): Link {
  const intake = house.open(undefined, () => stream.destroy?.());
  let stopped = false;
  house.say("listening", `${name} is being read.`);
  const reading = read();

  async function read(): Promise<void> {
    let fault = "";
    try {
      for await (const chunk of stream) {
        if (stopped) break;
        await intake.push(chunk);
      }
    } catch (error) {
      fault = stopped ? "" : ` It broke off: ${failureText(error)}`;
    }
    try {
      await intake.end();
    } catch (error) {
      fault = ` What it brought could not be kept: ${failureText(error)}`;
    }
    const at = clockTime(house.now());
    house.say("stopped", `${name} ended at ${at}. Start the program that writes it again to hear more.${fault}`);
  }

  return {
    async stop() {
      stopped = true;
      stream.destroy?.();
      await reading;
    },
  };
}
