import { closeSync, fstatSync, openSync, readSync, type Stats, statSync } from 'node:fs';
import { LodestubError } from '../../base/error.js';
import { readerOf } from './reader-of.js';
import type { ReportContext, ReportReader, ReportTaker } from './report-reader.js';
import type { ReportSource } from './report-source.js';
import type { ReportsSettings } from './reports-settings.js';

/** How often the file is looked at, ms. */
const EVERY_MS = 50;
/** So much is read at a look, bytes; the rest waits for the next one. */
const AT_ONCE = 256 * 1024;
/** So much is read at the end, bytes. */
const AT_THE_END = 64 * 1024 * 1024;
/** So much of what was read last is kept, to see whether it still stands there, bytes. */
const TAIL = 4096;

/** A file that is read while its host writes it. */
class GrowingFile {
  readonly #path: string;
  readonly #reader: ReportReader;
  readonly #bad: (why: string) => void;
  #descriptor: number | null = null;
  #identity = '';
  #at = 0;
  /** How much an earlier run had left, which is not read. */
  #leftOver = 0;
  #changedMs = 0;
  #tail: Buffer = Buffer.alloc(0);
  #decoder = new TextDecoder();
  #complaint = '';

  constructor(path: string, reader: ReportReader, bad: (why: string) => void) {
    this.#path = path;
    this.#reader = reader;
    this.#bad = bad;
    const stats = this.#stats();
    if (stats === null) return;
    this.#open(stats);
    this.#leftOver = stats.size;
    this.#at = stats.size;
    this.#tail = this.#bytes(Math.max(0, stats.size - TAIL), Math.min(TAIL, stats.size));
  }

  /** Reads what has come. @returns false: there is more */
  look(most: number): boolean {
    try {
      return this.#look(most);
    } catch (error) {
      const { code } = error as NodeJS.ErrnoException;
      // A broken invariant is no trouble of the file's.
      if (code === undefined) throw error;
      this.#complain(`it cannot be read (${code})`);
      return true;
    }
  }

  #look(most: number): boolean {
    const stats = this.#stats();
    if (stats === null) return true;
    if (this.#descriptor === null) this.#open(stats);
    if (this.#descriptor === null) return true;
    if (identityOf(stats) !== this.#identity) {
      // The old one may have grown before it was replaced.
      const isWhole = this.#grow(fstatSync(this.#descriptor), most);
      if (!isWhole) return false;
      closeSync(this.#descriptor);
      this.#open(stats);
      this.#beginAgain();
    }
    return this.#descriptor === null || this.#grow(stats, most);
  }

  close(): void {
    this.look(AT_THE_END);
    this.#reader.push(this.#decoder.decode());
    this.#reader.end();
    if (this.#descriptor !== null) closeSync(this.#descriptor);
    this.#descriptor = null;
  }

  #grow(stats: Stats, most: number): boolean {
    const isUntouched = stats.size === this.#at && stats.mtimeMs === this.#changedMs;
    if (isUntouched) {
      this.#reader.settle();
      return true;
    }
    const isFirstTouch = this.#at === this.#leftOver && this.#leftOver > 0;
    const isSameAgain = stats.size === this.#at && !isFirstTouch;
    if (stats.size < this.#at || isSameAgain || !this.#hasTail()) this.#beginAgain();
    this.#changedMs = stats.mtimeMs;
    const bytes = this.#bytes(this.#at, Math.min(stats.size - this.#at, most));
    this.#at += bytes.length;
    this.#tail = Buffer.from(Buffer.concat([this.#tail, bytes]).subarray(-TAIL));
    this.#reader.push(this.#decoder.decode(bytes, { stream: true }));
    return this.#at >= stats.size;
  }

  /** What was read last still stands where it stood. */
  #hasTail(): boolean {
    return this.#bytes(this.#at - this.#tail.length, this.#tail.length).equals(this.#tail);
  }

  #beginAgain(): void {
    this.#at = 0;
    this.#leftOver = 0;
    this.#tail = Buffer.alloc(0);
    this.#reader.push(this.#decoder.decode());
    this.#decoder = new TextDecoder();
    this.#reader.restart();
  }

  #open(stats: Stats): void {
    this.#descriptor = null;
    try {
      this.#descriptor = openSync(this.#path, 'r');
      this.#identity = identityOf(stats);
      this.#changedMs = stats.mtimeMs;
    } catch (error) {
      const { code } = error as NodeJS.ErrnoException;
      if (code !== 'ENOENT') this.#complain(`it cannot be read (${code ?? (error as Error).message})`);
    }
  }

  /** Null while there is no file. */
  #stats(): Stats | null {
    let stats: Stats;
    try {
      stats = statSync(this.#path);
    } catch (error) {
      const { code } = error as NodeJS.ErrnoException;
      if (code !== 'ENOENT') this.#complain(`it cannot be read (${code ?? (error as Error).message})`);
      return null;
    }
    if (stats.isFile()) return stats;
    this.#complain('it is no file');
    return null;
  }

  #complain(what: string): void {
    if (this.#complaint !== what) this.#bad(`${this.#path}: ${what}`);
    this.#complaint = what;
  }

  #bytes(from: number, length: number): Buffer {
    const bytes = Buffer.alloc(Math.max(0, length));
    let read = 0;
    while (this.#descriptor !== null && read < bytes.length) {
      const count = readSync(this.#descriptor, bytes, read, bytes.length - read, from + read);
      if (count === 0) break;
      read += count;
    }
    return bytes.subarray(0, read);
  }
}

function identityOf({ dev, ino }: Stats): string {
  return `${dev}:${ino}`;
}

/**
 * Reads reports from a file that the host writes: it may appear later, grow, be cut, be written anew or replaced. What
 * stands in it at the start is an earlier run's, and is not read.
 * @param path absolute
 * @throws LodestubError `trial.reports-file` where something else stands there
 */
export function openFileSource(
  settings: ReportsSettings,
  path: string,
  take: ReportTaker,
  context: ReportContext,
): ReportSource {
  const reader = readerOf(settings, take, context);
  let isOpen = false;
  const file = new GrowingFile(path, reader, (why) => {
    if (isOpen) {
      take.bad('', why);
      return;
    }
    const hint = 'Name a file that the host writes; it need not be there yet.';
    throw new LodestubError({ code: 'trial.reports-file', path: 'reports.from.file', summary: why, hint });
  });
  isOpen = true;
  const timer = setInterval(() => file.look(AT_ONCE), EVERY_MS);
  return {
    address: null,
    hostText: () => {},
    hostEnded: () => {},
    async close() {
      clearInterval(timer);
      file.close();
    },
    hint: () => reader.hint(),
  };
}
