import { linesOf, sentBytes } from '../../run/helper.js';
import {
  checksumOf,
  comesInOrder,
  fieldsOf,
  type HostActs,
  longestSilence,
  READ_EVERY_MS,
  rmcOf,
  type Seen,
  sentText,
} from './seen.js';

/** Plays the same scenario again, for a host that does something else. */
export type Replay = (host: HostActs) => Promise<Seen>;

/** A reading host notices what happens at the next read. */
const NOTICED_MS = READ_EVERY_MS;

/** When something was done to the port, ms; NaN: never. */
const whenCalled = ({ calls }: Seen, what: string) =>
  Number(calls.find((call) => call.endsWith(` ${what}`))?.split(' ')[0]);

function isAbout(atMs: number, expectedMs: number): boolean {
  return atMs >= expectedMs && atMs <= expectedMs + NOTICED_MS;
}

/** Speeds that a host commonly tries. */
const COMMON_BAUD = [4800, 9600, 38_400, 115_200];

/** What shows that a host really meets each failure of line and port. */
export const SHOWN_OF_LINE: Readonly<Record<string, (seen: Seen, replay: Replay) => boolean | Promise<boolean>>> = {
  'unplug-unnoticed': (seen) => {
    const { lastsMs, fromMs } = longestSilence(seen);
    const unheard = seen.sent.filter(({ startMs, endMs }) => startMs > fromMs && endMs < fromMs + lastsMs);
    const isLong = lastsMs > 29_000 && lastsMs < 32_000;
    return isLong && unheard.length > 100 && isAbout(whenCalled(seen, 'vanish false'), 20_000);
  },
  'garbage-bytes': ({ text }) =>
    /[\x80-\xff]/.test(text) && Buffer.from(text, 'latin1').toString('utf8').includes('\ufffd'),
  'read-split': ({ deliveries, text }) => {
    const whole = text.indexOf('$GPRMC', 1000);
    const end = text.indexOf('\r\n', whole);
    let at = 0;
    let pieces = 0;
    for (const delivery of deliveries) {
      if (at < end && at + delivery.text.length > whole) pieces++;
      at += delivery.text.length;
    }
    return pieces >= 3;
  },
  'line-saturated': ({ sent, epochs }) => {
    const lastMs = sent.at(-1)?.endMs as number;
    const late = sent.filter(({ startMs }) => startMs > lastMs - 20_000);
    /** Times are written to the microsecond. */
    const WRITTEN_MS = 2e-3;
    const isGapless = late.every(({ startMs }, i) => i === 0 || startMs - (late[i - 1]?.endMs as number) < WRITTEN_MS);
    return isGapless && late.every(({ epoch, endMs }) => endMs - (epochs[epoch]?.atMs as number) > 5000);
  },
  'new-name': (seen) =>
    isAbout(whenCalled(seen, 'vanish true'), 20_000) && isAbout(whenCalled(seen, 'come-back other'), 25_000),
  silence: (seen) => {
    const { lastsMs } = longestSilence(seen);
    return lastsMs > 19_000 && lastsMs < 22_000 && seen.calls.length === 0;
  },
  'cut-then-dollar': ({ text }) => /[0-9A-Z,.]\$G[PN][A-Z]{3},/.test(text) && !/\*[0-9A-F]{2}\$/.test(text),
  'bit-errors': ({ sent }) => {
    const damaged = sent.filter((line) => line.sentBase64 !== undefined);
    const flipped = damaged.map((line) => {
      const meant = Buffer.from(`${line.text}\r\n`, 'latin1');
      const bytes = sentBytes(line);
      return bytes.length === meant.length ? bytes.map((byte, i) => bitsOf(byte ^ (meant[i] as number))) : Buffer.of(9);
    });
    // Two bits of one byte are likely once in a thousand of them.
    const single = flipped.filter((bits) => Math.max(...bits) === 1);
    return damaged.length > 20 && single.length > 0.9 * damaged.length;
  },
  'many-per-read': ({ deliveries }) =>
    deliveries.some(({ text }) => (text.match(/\$[^$]*\*[0-9A-F]{2}\r\n/g) ?? []).length >= 2),
  'glued-no-newline': ({ text }) =>
    [...text.matchAll(/\$([^$*\r\n]+)\*([0-9A-F]{2})\$/g)].some(([, body, hex]) => checksumOf(body as string) === hex),
  'line-ending-variants': ({ text }) => /\*[0-9A-F]{2}\r(?!\n)/.test(text),
  'nul-before-dollar': ({ text }) => text.includes('\0$G'),
  'binary-between': ({ journal, text }) => {
    const frames = linesOf(journal, 'bytes').map((line) => sentBytes(line).toString('latin1'));
    const isBetween = frames.every((frame) => text.includes(`\r\n${frame}$`));
    return (
      frames.length > 5 && isBetween && frames.every((frame) => frame.length > 40) && /[\r\n$]/.test(frames.join(''))
    );
  },
  'boot-banner-text': ({ read }) => {
    const first = read.slice(0, 3).map(({ name, fields }) => `${name} ${fields[1]} ${fields[2]}`);
    return first.join() === 'TXT 03 01,TXT 03 02,TXT 03 03';
  },
  'endless-line': ({ text }) => text.split(/[\r\n]+/).some((line) => line.length > 500),
  'echo-of-host': ({ text }) => text.includes('HELLO\r\n'),
  'unplug-fatal': (seen) =>
    isAbout(whenCalled(seen, 'vanish true'), 20_000) && isAbout(whenCalled(seen, 'come-back same'), 25_000),
  'reopen-refused': (seen) =>
    isAbout(whenCalled(seen, 'refuse true'), 20_000) && isAbout(whenCalled(seen, 'refuse false'), 25_000),
  'late-first-byte': ({ deliveries }) => (deliveries[0]?.atMs ?? 0) > 4000,
  'unlisted-baud': async ({ read }, replay) => {
    const whole = await replay({ baud: 230_400 });
    const others = await Promise.all(COMMON_BAUD.map((baud) => replay({ baud })));
    return whole.read.length === read.length && others.every((seen) => seen.read.length === 0);
  },
  'control-lines': async (_seen, replay) => {
    const opened = await replay({ opensAtMs: 40_000 });
    const banners = fieldsOf(opened, 'TXT').length;
    const isLost = comesInOrder(
      rmcOf(opened),
      ({ status }) => status === 'A',
      ({ status }) => status === 'V',
    );
    return banners === 2 && isLost;
  },
  'command-amid-stream': ({ sent }) => {
    const place = sent.findIndex(({ text }) => text.startsWith('$PLDB,VERSION,'));
    const COMMAND_MS = 20_200;
    const isLate = (sent[place]?.startMs ?? 0) > COMMAND_MS + 400;
    return place > 0 && isLate && [place - 1, place + 1].every((each) => sent[each]?.text.startsWith('$GP'));
  },
  'host-overrun': (seen) => {
    const dropped = linesOf(seen.journal, 'dropped');
    const inMiddle = seen.sent.filter((line) => {
      const bytes = sentBytes(line).toString('latin1');
      return bytes.startsWith('$') && bytes.endsWith('\r\n') && bytes.length < line.text.length + 2;
    });
    return (
      inMiddle.length > 5 &&
      inMiddle.every(({ text }) => dropped.some((loss) => loss.text === text && loss.bytes <= 16))
    );
  },
  'bunched-jitter': ({ deliveries }) => {
    const isBatched =
      deliveries.every(({ text }) => text.length <= 62) && deliveries.some(({ text }) => text.length === 62);
    // The first bytes of an epoch come after a pause.
    const firsts = deliveries.filter(({ atMs }, i) => i > 0 && atMs - (deliveries[i - 1]?.atMs as number) > 200);
    const apart = firsts.slice(1).map(({ atMs }, i) => atMs - (firsts[i]?.atMs as number));
    return isBatched && apart.some((ms) => ms <= 900) && apart.some((ms) => ms >= 1100);
  },
  'backlog-on-open': (seen) => whenCalled(seen, 'keep 8192') <= NOTICED_MS && sentText(seen).length > 8192,
};

function bitsOf(byte: number): number {
  let count = 0;
  for (let rest = byte; rest > 0; rest >>= 1) count += rest & 1;
  return count;
}
