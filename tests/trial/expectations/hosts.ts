import { Crash, type Said, type TestHost } from './helper.js';

/** A sentence's fields, the address first. */
type Fields = readonly string[];

const KNOT_MPS = 1852 / 3600;
/** A host says that it has lost the fix when nothing has come for so long, ms. */
const QUIET_MS = 2000;
/** Faster than any vehicle that carries these hosts, m/s, and what may be a step of the receiver's own, m. */
const FASTEST_MPS = 100;
const STEP_M = 100;
const METRES_PER_DEG = 111_000;

/** Cuts a stream into lines, as they come. */
function lineReader(): (text: string) => string[] {
  let rest = '';
  return (text) => {
    const lines = (rest + text).split(/\r*\n|\r/);
    rest = lines.pop() as string;
    return lines;
  };
}

function degrees(angle: string | undefined, hemisphere: string | undefined): number | null {
  const [, whole, minutes] = /^(\d{2,3})(\d\d\.?\d*)$/.exec(angle ?? '') ?? [];
  if (whole === undefined) return null;
  const sizeDeg = Number(whole) + Number(minutes) / 60;
  return hemisphere === 'S' || hemisphere === 'W' ? -sizeDeg : sizeDeg;
}

function numberOf(field: string | undefined): number | null {
  return field === undefined || field === '' ? null : Number(field);
}

/** Of RMC's time and date; null: one of them is blank. */
function utcOf(time: string | undefined, date: string | undefined): number | null {
  if (time === undefined || !/^\d{6}/.test(time) || date === undefined || !/^\d{6}$/.test(date)) return null;
  const [day, month, yy] = [0, 2, 4].map((at) => Number(date.slice(at, at + 2))) as [number, number, number];
  const [hour, minute] = [Number(time.slice(0, 2)), Number(time.slice(2, 4))];
  const seconds = Number(time.slice(4));
  return Date.UTC(yy < 80 ? 2000 + yy : 1900 + yy, month - 1, day, hour, minute) + Math.round(seconds * 1000);
}

/** Takes whatever looks like a sentence: no checksum, no status, the last place goes on. */
export function naive(): TestHost {
  const read = lineReader();
  let place: Said = {};
  let [used, inView] = [null as number | null, null as number | null];
  return (text) =>
    read(text).flatMap((line): Said[] => {
      const [, name, body] = /\$..(RMC|GGA|GSV|GSA),([^*]*)/.exec(line) ?? [];
      const f = (body ?? '').split(',');
      // The last of several wins.
      if (name === 'GSA') used = f.slice(2, 14).filter((id) => id !== '').length;
      if (name === 'GSV') inView = numberOf(f[2]);
      if (name !== 'RMC') return [];
      const [latitudeDeg, longitudeDeg] = [degrees(f[2], f[3]), degrees(f[4], f[5])];
      if (latitudeDeg !== null && longitudeDeg !== null) place = { latitudeDeg, longitudeDeg };
      const speed = numberOf(f[6]);
      return [
        {
          ...place,
          hasFix: place.latitudeDeg !== undefined,
          utcMs: utcOf(f[0], f[8]),
          speedMps: speed,
          courseDeg: numberOf(f[7]),
          ...{ used, inView },
        },
      ];
    });
}

/** The fields of a whole sentence with a right checksum; null for all else. */
function soundFields(line: string): Fields | null {
  const [, body, sum] = /^\$([^$*]+)\*([0-9A-F]{2})$/.exec(line) ?? [];
  if (body === undefined || sum === undefined) return null;
  let xor = 0;
  for (const character of body) xor ^= character.charCodeAt(0);
  return xor === Number.parseInt(sum, 16) ? body.split(',') : null;
}

/** What a sentence adds to what a careful host knows of satellites and height. */
class Beside {
  #used: number | null = null;
  #altitudeMslM: number | null = null;
  readonly #inView = new Map<string, number>();

  take(address: string, f: Fields): void {
    if (address.endsWith('GGA')) {
      this.#used = numberOf(f[7]);
      this.#altitudeMslM = numberOf(f[9]);
    }
    if (address.endsWith('GSV')) this.#inView.set(address.slice(0, 2), Number(f[3]));
  }

  get said(): Said {
    const inView = this.#inView.size === 0 ? null : [...this.#inView.values()].reduce((sum, each) => sum + each, 0);
    return { used: this.#used, altitudeMslM: this.#altitudeMslM, inView };
  }
}

/** Checks all: checksum, status, the date's plausibility, jumps; and says when nothing comes. */
export function careful(): TestHost {
  const read = lineReader();
  const beside = new Beside();
  let last: { latitudeDeg: number; longitudeDeg: number; atMs: number } | null = null;
  let heardMs = 0;
  let isQuiet = false;
  const fromRmc = (f: Fields, atMs: number): Said => {
    const told = utcOf(f[1], f[9]);
    const utcMs = told !== null && told >= Date.UTC(2020, 0, 1) ? told : null;
    const [latitudeDeg, longitudeDeg] = [degrees(f[3], f[4]), degrees(f[5], f[6])];
    if (f[2] !== 'A' || latitudeDeg === null || longitudeDeg === null) return { utcMs, hasFix: false };
    const offM =
      last === null ? 0 : METRES_PER_DEG * Math.hypot(latitudeDeg - last.latitudeDeg, longitudeDeg - last.longitudeDeg);
    if (last !== null && offM > STEP_M + (FASTEST_MPS * (atMs - last.atMs)) / 1000) return { utcMs, hasFix: false };
    last = { latitudeDeg, longitudeDeg, atMs };
    const speed = numberOf(f[7]);
    const motion = { speedMps: speed === null ? null : speed * KNOT_MPS, courseDeg: numberOf(f[8]) };
    return { utcMs, hasFix: true, latitudeDeg, longitudeDeg, ...motion, ...beside.said };
  };
  return (text, atMs) => {
    const said: Said[] = [];
    for (const line of read(text)) {
      const fields = soundFields(line);
      if (fields === null) continue;
      [heardMs, isQuiet] = [atMs, false];
      const address = fields[0] as string;
      beside.take(address, fields);
      if (address.endsWith('RMC')) said.push(fromRmc(fields, atMs));
    }
    if (!isQuiet && atMs - heardMs > QUIET_MS) {
      isQuiet = true;
      said.push({ hasFix: false });
    }
    return said;
  };
}

/** A careful one that ends where a field is blank that it needs. */
export function fragile(): TestHost {
  const read = lineReader();
  const host = careful();
  return (text, atMs) => {
    for (const line of read(text)) {
      const f = soundFields(line);
      if (f?.[0]?.endsWith('RMC') && f[3] === '') throw new Crash('could not convert string to float');
    }
    return host(text, atMs);
  };
}

/** A careful host with a mistake of its own. */
export function withMistake(change: (said: Said, atMs: number) => Said | null): () => TestHost {
  return () => {
    const host = careful();
    return (text, atMs) =>
      host(text, atMs).flatMap((said) => {
        const changed = change(said, atMs);
        return changed === null ? [] : [changed];
      });
  };
}

/** A host that never says a word. */
export function mute(): TestHost {
  return () => [];
}
