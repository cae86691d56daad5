import { Splitter } from '../grammar/splitter.js';
import { Grouping, type RecordedGroup } from './grouping.js';
import type { OpenRecording, RecordingFile } from './recording-file.js';

/** So many bytes are read at once. */
const CHUNK_BYTES = 65_536;

/** Anything that hands out groups in order, one by one. */
export interface GroupSource {
  /** @returns null: there are no more */
  next(): RecordedGroup | null;
}

/** The groups of a recording, read as they are asked for: of a file of any size little is in memory. */
export class RecordedGroups implements GroupSource {
  readonly #file: RecordingFile;
  #open: OpenRecording | null = null;
  readonly #chunk: Buffer;
  readonly #ready: RecordedGroup[] = [];
  readonly #grouping = new Grouping((group) => this.#ready.push(group));
  readonly #splitter = new Splitter((piece) => this.#grouping.put(piece));
  #position = 0;
  #isOver = false;

  /** @param chunkBytes so many are read at once; the groups do not depend on it */
  constructor(file: RecordingFile, chunkBytes = CHUNK_BYTES) {
    this.#file = file;
    this.#chunk = Buffer.alloc(chunkBytes);
  }

  /** Bytes read so far. */
  get readBytes(): number {
    return this.#position;
  }

  /** @throws LodestubError `replay.missing`, `replay.read` */
  next(): RecordedGroup | null {
    const group = this.peek();
    this.#ready.shift();
    return group;
  }

  /** The next group, which stays the next one. @throws LodestubError `replay.missing`, `replay.read` */
  peek(): RecordedGroup | null {
    while (this.#ready.length === 0 && !this.#isOver) this.#read();
    return this.#ready[0] ?? null;
  }

  /** Frees the file; there are no more groups. */
  close(): void {
    this.#isOver = true;
    this.#ready.length = 0;
    this.#open?.close();
    this.#open = null;
  }

  #read(): void {
    this.#open ??= this.#file.open();
    const count = this.#open.read(this.#chunk, this.#position);
    this.#position += count;
    if (count > 0) {
      this.#splitter.push(this.#chunk.toString('latin1', 0, count));
      return;
    }
    this.#splitter.end();
    this.#grouping.end();
    this.#isOver = true;
    this.#open.close();
    this.#open = null;
  }
}
