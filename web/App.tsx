import type { JSX } from "preact";
import { useCallback, useEffect, useMemo, useState } from "preact/hooks";
import { ActionsContext, createActions } from "./actionsHere.ts";
import { KeysContext, keepKeys, keepSettings, keptKeys, keptSettings, SettingsContext } from "./device.ts";
import { type Live, LiveContext } from "./live.ts";
import type { KeyMap } from "./model/keyMap.ts";
import { isOfASeat, type Route } from "./model/route.ts";
import { type Settings, themeShown } from "./model/settings.ts";
import { ComparePage } from "./pages/compare/ComparePage.tsx";
import { DevicesPage } from "./pages/devices/DevicesPage.tsx";
import { PairPage } from "./pages/devices/PairPage.tsx";
import { HelpPage } from "./pages/HelpPage.tsx";
import { JobPage } from "./pages/jobs/JobPage.tsx";
import { JobsPage } from "./pages/jobs/JobsPage.tsx";
import { WheelPage } from "./pages/jobs/WheelPage.tsx";
import { KeysPage } from "./pages/keys/KeysPage.tsx";
import { LayoutPage } from "./pages/layouts/LayoutPage.tsx";
import { LayoutsPage } from "./pages/layouts/LayoutsPage.tsx";
import { MissingPage } from "./pages/MissingPage.tsx";
import { ReceiversPage } from "./pages/receivers/ReceiversPage.tsx";
import { RecordingPage } from "./pages/recordings/RecordingPage.tsx";
import { RecordingsPage } from "./pages/recordings/RecordingsPage.tsx";
import { SettingsPage } from "./pages/SettingsPage.tsx";
import { StartPage } from "./pages/StartPage.tsx";
import { SendingPage } from "./pages/sending/SendingPage.tsx";
import { WordsPage } from "./pages/WordsPage.tsx";
import { useRoute } from "./router.ts";
import { SeatShell } from "./SeatShell.tsx";
import { Shell } from "./Shell.tsx";
import { lazily } from "./views/lazily.tsx";

const FleetPage = lazily(() => import("./pages/fleet/FleetPage.tsx").then((part) => part.FleetPage));
const BoardPage = lazily(() => import("./pages/class/BoardPage.tsx").then((part) => part.BoardPage));
const JoinPage = lazily(() => import("./pages/class/JoinPage.tsx").then((part) => part.JoinPage));
const SeatPage = lazily(() => import("./pages/class/SeatPage.tsx").then((part) => part.SeatPage));
const Bench = lazily(() => import("./pages/bench/Bench.tsx").then((part) => part.Bench));
const CollisionsPage = lazily(() => import("./pages/class/CollisionsPage.tsx").then((part) => part.CollisionsPage));
const MakePage = lazily(() => import("./pages/class/MakePage.tsx").then((part) => part.MakePage));
const TwoBandsPage = lazily(() => import("./pages/class/TwoBandsPage.tsx").then((part) => part.TwoBandsPage));
const Study = lazily(() => import("./pages/class/Study.tsx").then((part) => part.Study));
const StudiesPage = lazily(() => import("./pages/studies/StudiesPage.tsx").then((part) => part.StudiesPage));
const NewStudyPage = lazily(() => import("./pages/studies/NewStudyPage.tsx").then((part) => part.NewStudyPage));
const StudyPage = lazily(() => import("./pages/studies/StudyPage.tsx").then((part) => part.StudyPage));
const WorksheetPage = lazily(() => import("./pages/workshop/WorksheetPage.tsx").then((part) => part.WorksheetPage));

/** All of the pages, with what they share: the stream of events and this device's settings. */
export function App({ live }: { readonly live: Live }): JSX.Element {
  const [settings, setSettings] = useState(keptSettings);
  const change = useCallback((changed: Partial<Settings>) => {
    setSettings((before) => {
      const after = { ...before, ...changed };
      keepSettings(after);
      return after;
    });
  }, []);
  const here = useMemo(() => ({ settings, change }), [settings, change]);
  const [keys, setKeys] = useState(keptKeys);
  const changeKeys = useCallback((changed: KeyMap) => {
    keepKeys(changed);
    setKeys(changed);
  }, []);
  const keysHere = useMemo(() => ({ keys, changeKeys }), [keys, changeKeys]);
  const [actions] = useState(createActions);
  useLook(settings);
  const route = useRoute();
  const Around = isOfASeat(route) ? SeatShell : Shell;
  return (
    <LiveContext.Provider value={live}>
      <SettingsContext.Provider value={here}>
        <KeysContext.Provider value={keysHere}>
          <ActionsContext.Provider value={actions}>
            <Around route={route}>{route === undefined ? <MissingPage /> : pageOf(route)}</Around>
          </ActionsContext.Provider>
        </KeysContext.Provider>
      </SettingsContext.Provider>
    </LiveContext.Provider>
  );
}

function pageOf(route: Route): JSX.Element {
  switch (route.page) {
    case "start":
      return <StartPage />;
    case "jobs":
      return <JobsPage />;
    case "job":
      return <JobPage key={route.id} id={route.id} />;
    case "wheel":
      return <WheelPage key={`${route.id} ${route.wheel}`} id={route.id} wheel={route.wheel} />;
    case "sending":
      return <SendingPage />;
    case "bench":
    case "lot":
    case "lotRecord":
    case "lotsCompared":
    case "specimen":
      return <Bench route={route} />;
    case "board":
      return <BoardPage key={route.code} code={route.code} />;
    case "join":
      return <JoinPage />;
    case "seat":
      return <SeatPage />;
    case "collisions":
      return <CollisionsPage />;
    case "make":
      return <MakePage />;
    case "twoBands":
      return <TwoBandsPage />;
    case "class":
    case "exerciseSet":
    case "exercise":
    case "exerciseEditor":
      return <Study route={route} />;
    case "recordings":
      return <RecordingsPage />;
    case "recording":
      return <RecordingPage key={route.hash} hash={route.hash} />;
    case "compare":
      return <ComparePage />;
    case "studies":
      return <StudiesPage />;
    case "newStudy":
      return <NewStudyPage />;
    case "study":
      return <StudyPage key={route.id} id={route.id} />;
    case "layouts":
      return <LayoutsPage />;
    case "layout":
      return <LayoutPage key={route.id} id={route.id} version={route.version} />;
    case "worksheet":
      return <WorksheetPage key={route.id} id={route.id} />;
    case "receivers":
      return <ReceiversPage />;
    case "fleet":
      return <FleetPage />;
    case "devices":
      return <DevicesPage />;
    case "pair":
      return <PairPage />;
    case "settings":
      return <SettingsPage />;
    case "words":
      return <WordsPage />;
    case "help":
      return <HelpPage />;
    case "keys":
      return <KeysPage />;
  }
}

/** Puts theme and density on the root element, where the style sheet looks for them. */
function useLook({ theme, density }: Settings): void {
  const [dark, setDark] = useState(() => matchMedia(DARK).matches);
  useEffect(() => {
    const media = matchMedia(DARK);
    const follow = () => setDark(media.matches);
    media.addEventListener("change", follow);
    return () => media.removeEventListener("change", follow);
  }, []);
  useEffect(() => {
    document.documentElement.dataset["theme"] = themeShown(theme, dark);
    document.documentElement.dataset["density"] = density;
  }, [theme, density, dark]);
}

const DARK = "(prefers-color-scheme: dark)";
