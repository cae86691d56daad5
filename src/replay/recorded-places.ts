import { decode } from '../grammar/decode.js';
import { parseSentence } from '../grammar/sentence.js';
import { Splitter } from '../grammar/splitter.js';
import type { RecordingFile } from './recording-file.js';

/** A recording is looked at in so many places, evenly; in each of them, so many bytes. */
const WINDOWS = 500;
const WINDOW_BYTES = 4096;

/** Where the antenna of a recording was, by its sentences, at up to 500 times spread evenly over it. */
export function recordedPlaces(file: RecordingFile): { readonly latitudeDeg: number; readonly longitudeDeg: number }[] {
  const places: { latitudeDeg: number; longitudeDeg: number }[] = [];
  const open = file.open();
  const bytes = Buffer.alloc(WINDOW_BYTES);
  const stepBytes = Math.max(WINDOW_BYTES, file.size / WINDOWS);
  try {
    for (let position = 0; position < file.size; position += stepBytes) {
      const count = open.read(bytes, Math.floor(position));
      let isFound = false;
      const splitter = new Splitter(({ text }) => {
        if (isFound || text[0] !== '$') return;
        const sentence = parseSentence(text);
        const decoded = sentence.checksum === 'good' || sentence.checksum === 'absent' ? decode(sentence) : null;
        if (decoded === null || !('latitudeDeg' in decoded)) return;
        const { latitudeDeg, longitudeDeg } = decoded;
        if (latitudeDeg === null || longitudeDeg === null) return;
        isFound = true;
        places.push({ latitudeDeg, longitudeDeg });
      });
      splitter.push(bytes.toString('latin1', 0, count));
      splitter.end();
    }
  } finally {
    open.close();
  }
  return places;
}
