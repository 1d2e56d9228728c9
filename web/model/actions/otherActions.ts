import { NO_COUNTERPART, type PageAction, type PlaceName } from "./action.ts";

const { device: DEVICE, page: PAGE, screen: SCREEN } = NO_COUNTERPART;
const CARD = "PATCH /jobs/{id}";
const SHEET_STEP = "POST /worksheets/{id}/steps";

/** What can be done on all pages but a recording's: buttons and links, so that no key of a letter is needed. */
export const otherActions = [
  {
    id: "palette.open",
    name: "What can I do here?",
    place: "top",
    keys: ["Ctrl+K"],
    keyPlaces: ["anywhere"],
    counterpart: SCREEN,
  },
  link("go.jobs", "Jobs", "entries", "GET /jobs"),
  link("go.bench", "Bench", "entries", PAGE),
  link("go.recordings", "Recordings", "entries", "GET /recordings"),
  link("go.layouts", "Layouts", "entries", "GET /layouts"),
  link("go.class", "Class", "entries", PAGE),
  link("go.receivers", "Receivers", "top", "GET /receivers"),
  link("go.sending", "Is it sending?", "top", "GET /events"),
  link("go.settings", "Settings", "top", DEVICE),
  link("go.words", "Words", "top", PAGE),
  link("go.help", "Help", "top", PAGE),
  link("go.keys", "Keys and actions", "top", PAGE),
  link("go.api", "The HTTP interface", "top", "GET /openapi.json", "the HTTP interface"),

  button("job.new", "New job", "jobs", "POST /jobs"),
  button("job.bin", "Removed jobs", "jobs", "GET /removed-jobs"),
  button("job.restore", "Take a removed job back", "jobs", "POST /removed-jobs/{id}/restore", "Take it back…"),
  button("job.edit", "Edit the card", "card", CARD),
  button("job.done", "Done with the car", "card", CARD),
  button("job.listen", "Start listening", "cardBody", "POST /jobs/{id}/runs"),
  button("job.stop", "Stop listening", "cardBody", "PATCH /jobs/{id}/runs/{run}"),
  button("job.wake", "Write down a wake", "cardWalk", "POST /jobs/{id}/wakes", "Wake …"),
  button("job.order", "Change the order", "cardWalk", CARD),
  button("job.sensor", "Choose the sensor of a wheel", "cardBody", CARD, "Choose…"),
  button("job.nearby", "Say whose sensor it is", "cardBody", CARD, "It is …"),
  button("job.codes", "Trouble codes of the vehicle", "card", CARD),
  button("job.list", "The vehicle's list, registration, relearn", "card", "GET /jobs/{id}/putting-right"),
  button("job.curves", "Curves: pressure and temperature over time", "card", "GET /jobs/{id}/curves"),
  button("job.prove", "The work is done, listen again", "cardProve", CARD),
  button("job.proveAgain", "Begin the second listening anew", "cardProve", CARD),
  button("job.undo", "Undo", "card", CARD),
  button("job.changes", "What was done to this card", "cardChanges", "GET /jobs/{id}/changes"),
  button("job.takeBack", "Take back a change", "cardChanges", CARD, "Take back…"),
  button("job.sheetA4", "Hand-over sheet, A4", "cardHandOver", "GET /jobs/{id}/sheet"),
  button("job.sheetLetter", "Hand-over sheet, Letter", "cardHandOver", "GET /jobs/{id}/sheet"),
  button("job.json", "Save as JSON", "cardKeeping", "GET /jobs/{id}/export"),
  button("job.csv", "Save wheels as CSV", "cardKeeping", "GET /jobs/{id}/export"),
  button("job.share", "Share it with somebody else", "cardKeeping", "GET /jobs/{id}/share"),
  button("job.shareFile", "Save the file to share", "cardKeeping", "GET /jobs/{id}/share"),
  button("job.wipe", "Wipe names", "cardKeeping", "POST /jobs/{id}/anonymous"),
  button("job.remove", "Remove this job", "cardKeeping", "DELETE /jobs/{id}"),

  button("wheel.newSensor", "A new sensor goes in", "wheel", CARD),
  button("wheel.programmed", "It is programmed now", "wheel", CARD),
  button("wheel.noNewSensor", "No new sensor here", "wheel", CARD),

  button("sending.start", "Begin again", "sending", "GET /events"),
  button("sending.missed", "I pressed, nothing came", "sending", SCREEN),
  button("sending.undo", "Take the last miss back", "sending", SCREEN),
  button("sending.copy", "Copy the result", "sending", SCREEN),
  button("sending.print", "Print the result", "sending", SCREEN),

  button("recording.add", "Add recordings", "recordings", "POST /recordings", "Add recordings…"),
  button(
    "recording.workOut",
    "Work out the layout of what nothing reads",
    "recording",
    "POST /worksheets",
    "Work out their layout",
  ),
  button("recording.remove", "Remove a recording", "recordings", "DELETE /recordings/{hash}", "Remove"),

  button("recording.pause", "Pause what is being sent", "recordings", "PATCH /uploads/{id}", "Pause"),
  button("recording.goOn", "Go on with what is being sent", "recordings", "PATCH /uploads/{id}", "Go on"),
  button("recording.stop", "Stop what is under way", "recordings", "DELETE /uploads/{id}", "Stop"),
  button("recording.open", "Open a recording in place", "recordings", "POST /in-place", "Open"),

  button("compare.strong", "Bursts equally strong", "compare", SCREEN),
  button("compare.lanes", "One below the other", "compare", SCREEN),
  button("compare.frames", "Show the frames", "compare", SCREEN, "Frames"),
  button("compare.whole", "Show whole recordings", "compare", SCREEN, "Whole recordings"),
  button("compare.clear", "Put nothing to compare", "compare", DEVICE, "Take all off"),

  button("layout.add", "Put a file on the shelf", "layouts", "POST /layouts"),
  button("layout.workOut", "Work out a layout", "layouts", "POST /worksheets"),
  button("job.teach", "Teach it from this car", "cardBody", "POST /worksheets"),
  button("sheet.back", "Take the last step back", "workshop", SHEET_STEP),
  button("sheet.again", "Do it again", "workshop", SHEET_STEP),
  button("sheet.next", "Next station", "workshop", SCREEN),
  button("sheet.before", "Station before", "workshop", SCREEN),
  button("sheet.name", "Name the worksheet", "workshop", SHEET_STEP),
  link("sheet.file", "Save it as a file", "workshop", "GET /worksheets/{id}"),
  button("sheet.remove", "Remove the worksheet", "workshop", "DELETE /worksheets/{id}"),
  button("sheet.bring", "Bring in the recordings", "workshop", "POST /worksheets/{id}/bursts"),
  button("sheet.bringHeard", "Bring in what was heard", "workshop", "POST /worksheets/{id}/bursts"),
  button("sheet.takeOut", "Take out", "workshop", SHEET_STEP),
  button("sheet.group", "Work on this group", "workshop", SHEET_STEP),
  button("sheet.leaveOut", "Leave it out", "workshop", SHEET_STEP),
  button("sheet.moreBursts", "Show more bursts", "workshop", SCREEN),
  button("sheet.lineCode", "Read them so", "workshop", SHEET_STEP),
  button("sheet.likeliest", "Leave it to the likeliest", "workshop", SHEET_STEP),
  button("sheet.log", "Take out the log", "workshop", SHEET_STEP),
  button("sheet.figure", "Tell what was read", "workshop", SHEET_STEP),
  button("sheet.moreTelegrams", "Show more telegrams", "workshop", SCREEN),
  button("sheet.bits", "Name bits", "workshop", SHEET_STEP),
  button("sheet.field", "Change it", "workshop", SHEET_STEP),
  button("sheet.check", "Take this check", "workshop", SHEET_STEP),
  button("sheet.noCheck", "It has no check", "workshop", SHEET_STEP),
  button("sheet.shelf", "Put on the shelf", "workshop", "POST /worksheets/{id}/shelf"),
  button("receiver.add", "Add a receiver", "receivers", "POST /receivers"),
  button("receiver.listen", "Listen to what was plugged in", "receivers", "POST /receivers", "Listen to it…"),
  button(
    "receiver.check",
    "Self-check of a receiver",
    "receivers",
    "POST /receivers/{id}/self-check",
    "Self-check now…",
  ),
  button("receiver.key", "A key for the network", "receivers", "POST /receivers/{id}/key", "Make a…"),
  button(
    "receiver.noKey",
    "A receiver from this computer only",
    "receivers",
    "DELETE /receivers/{id}/key",
    "From this computer only…",
  ),
  button("receiver.rename", "Rename a receiver", "receivers", "PATCH /receivers/{id}", "Rename…"),
  button("receiver.remove", "Remove a receiver", "receivers", "DELETE /receivers/{id}", "Remove…"),
  button("receiver.lines", "Lines that did not fit", "receivers", "GET /quarantine"),

  link("go.devices", "Devices", "top", "GET /devices"),
  button("device.letIn", "Let a device in", "devices", "POST /pairings", "Let …"),
  button("device.rename", "Rename a device", "devices", "PATCH /devices/{id}", "Rename…"),
  button("device.letGo", "Let a device go", "devices", "DELETE /devices/{id}", "Let go…"),
  button("device.comeIn", "Come in", "pair", "POST /devices"),

  button("settings.look", "Look: paper, night or sunlight", "settings", DEVICE, "Look"),
  button("settings.size", "Size: desk or bay", "settings", DEVICE, "Size"),
  button("settings.pressure", "Unit of pressure", "settings", DEVICE, "Pressure"),
  button("settings.temperature", "Unit of temperature", "settings", DEVICE, "Temperature"),
  button("keeping.see", "What would go by a limit", "settings", "GET /keeping", "See what would go"),
  button("keeping.choose", "Keep what receivers said so long", "settings", "PUT /keeping", "Keep it so"),
  button("samples.remove", "Remove all samples", "settings", "DELETE /samples"),
  button("keys.single", "Single keys on or off", "keys", DEVICE, "Single keys act in a band that has the focus"),
  button("keys.reset", "All keys as they came", "keys", DEVICE),
  button("keys.print", "Print the keys", "keys", SCREEN),
] as const satisfies readonly PageAction[];

function button<Id extends string>(id: Id, name: string, place: PlaceName, counterpart: string, says?: string) {
  return { ...plain(id, name, place, counterpart, "outside" as const), ...(says === undefined ? {} : { says }) };
}

function link<Id extends string>(id: Id, name: string, place: PlaceName, counterpart: string, says?: string) {
  return { ...plain(id, name, place, counterpart, "link" as const), ...(says === undefined ? {} : { says }) };
}

function plain<Id extends string, Why extends "outside" | "link">(
  id: Id,
  name: string,
  place: PlaceName,
  counterpart: string,
  noKey: Why,
) {
  const keys: readonly string[] = [];
  return { id, name, place, keys, noKey, keyPlaces: [], counterpart };
}
