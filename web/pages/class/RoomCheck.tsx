import type { JSX } from "preact";
import { useEffect } from "preact/hooks";
import { checkRoom, room } from "../../calls/lessons.ts";
import { useLoaded } from "../../loaded.ts";
import { Mark } from "../../views/Mark.tsx";
import { Waiting } from "../../views/Waiting.tsx";

const LOOK_MS = 1000;

/** What holds in the room before the class comes: exercises, network, disk, letters, and the projector itself. */
export function RoomCheck({ code }: { readonly code: string }): JSX.Element {
  const loaded = useLoaded(`room ${code}`, () => checkRoom(code));
  const { put } = loaded;
  const isRunning = loaded.state === "there" && loaded.value.running;
  useEffect(() => {
    if (!isRunning) return;
    const look = async () => {
      const answer = await room(code);
      if (answer.ok) put(answer.value);
    };
    const timer = setInterval(() => void look(), LOOK_MS);
    return () => clearInterval(timer);
  }, [code, isRunning, put]);
  return (
    <section class="room-check" aria-labelledby="room">
      <h2 id="room">Is the room ready?</h2>
      <Waiting loaded={loaded} what="how the room stands">
        {(now) => (
          <>
            {now.running && (
              <p>
                <progress value={now.prepared} max={now.of} aria-label="Exercises made" /> {now.prepared} of {now.of}
              </p>
            )}
            <ul class="plain-list">
              {now.findings.map(({ about, isReady, says }) => (
                <li key={about}>
                  {isReady ? (
                    says
                  ) : (
                    <Mark strength={now.running && about === "draws" ? "as expected" : "look here"} words={says} />
                  )}
                </li>
              ))}
              <li>{lettersAreThere() ? LETTERS_THERE : <Mark strength="look here" words={LETTERS_GONE} />}</li>
            </ul>
          </>
        )}
      </Waiting>
      <ContrastStrip />
    </section>
  );
}

const LETTERS_THERE = "The letters of the pages came with them; nothing is asked of the internet.";
const LETTERS_GONE = "The letters of the pages did not come. Reload the page.";

function lettersAreThere(): boolean {
  return document.fonts.check('16px "Atkinson Hyperlegible Next"');
}

/** Steps from black to white that a projector in a lit room has to show apart. */
const GREYS = ["#262626", "#595959", "#8c8c8c", "#bfbfbf", "#f2f2f2"];

function ContrastStrip(): JSX.Element {
  return (
    <figure class="contrast-strip">
      <svg
        viewBox="0 0 100 14"
        role="img"
        aria-label="Five greys side by side, from dark to light, on black and on white"
      >
        <rect width="100" height="7" fill="#000" />
        <rect y="7" width="100" height="7" fill="#fff" />
        {GREYS.map((grey, i) => (
          <rect key={grey} x={2 + i * 20} y="2" width="16" height="10" fill={grey} />
        ))}
      </svg>
      <figcaption>
        Go to the last row. Can you tell all five greys apart, the first from the black above and the last from the
        white below? If not, choose black on white or white on black under Projector, or dim the room.
      </figcaption>
    </figure>
  );
}
