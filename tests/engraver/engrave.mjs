// Loads MusicXML files in verovio, draws them, and writes them as MIDI.
//
// node engrave.mjs JOBS: a JSON file with a list of [MusicXML file, MIDI file to be written, whether
// to draw it]. For each, one line of JSON on standard output: whether it was loaded, everything that
// verovio complained about while loading, drawing and playing it, and how many bytes were drawn.

import fs from "node:fs";

import createVerovioModule from "verovio/wasm";
import { LOG_WARNING, VerovioToolkit, enableLog, enableLogToBuffer } from "verovio/esm";

const verovio = await createVerovioModule();
const toolkit = new VerovioToolkit(verovio);
enableLog(LOG_WARNING, verovio);
enableLogToBuffer(true, verovio);

function engrave(source, target, draw) {
  // What is not drawn needs no lines of equal width: a quarter of the time.
  toolkit.setOptions({ breaks: draw ? "auto" : "none" });
  const loaded = toolkit.loadData(fs.readFileSync(source, "utf8"));
  let complaints = toolkit.getLog();
  if (!loaded) {
    return { loaded, complaints };
  }
  let drawn = 0;
  for (let page = 1; draw && page <= toolkit.getPageCount(); page++) {
    drawn += toolkit.renderToSVG(page).length;
    complaints += toolkit.getLog();
  }
  fs.writeFileSync(target, Buffer.from(toolkit.renderToMIDI(), "base64"));
  complaints += toolkit.getLog();
  return { loaded, complaints, drawn };
}

for (const [source, target, draw] of JSON.parse(fs.readFileSync(process.argv[2], "utf8"))) {
  console.log(JSON.stringify({ source, ...engrave(source, target, draw) }));
}
