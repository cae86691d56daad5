import { describe, expect, it } from 'vitest';
import { bytesFromLatin1, newBytes, newSentence, type Transmission } from '../../src/emit/line/transmission.js';
import { TellTaleProof } from '../../src/run/tell-tale-proof.js';
import { isIntact, sentText, sumOf, type ToldLine } from '../faults/sentence-helper.js';
import { linesOf, playRun, roof, sentBytes } from './helper.js';

const PLACE = { latitudeDeg: -12.5, longitudeDeg: 100.25 };
const BODY = 'GPGLL,1230.0000,S,10015.0000,E,120000.00,A,A';
/** As the module meant it: somewhere else. */
const MEANT = '$GPGLL,4706.0000,N,00812.0000,E,120000.00,A,A*00';
const RIGHT = sumOf(BODY);
const WRONG = RIGHT === '55' ? '66' : '55';

/** Puts texts on the line, a second each; the first is the damaged sentence with its tell-tale. */
function proof(first: string, ...rest: readonly string[]): { damaged: Transmission; proof: TellTaleProof } {
  const watch = new TellTaleProof();
  const damaged = newSentence(0, MEANT, first, ['1.1'], PLACE);
  const items = [damaged, ...rest.map((text) => newBytes(0, bytesFromLatin1(text), 'test', []))];
  for (const [i, item] of items.entries()) {
    Object.assign(item, { startMs: 1000 * i, endMs: 1000 * i + 500, freeMs: 1000 * i + 500, byteMs: 1 });
    watch.see(item);
    watch.settle(1000 * i + 999);
  }
  return { damaged, proof: watch };
}

describe('a tell-tale', () => {
  it.each([
    ['a wrong checksum', [`$${BODY}*${WRONG}\r\n`]],
    ['cut, and the next one begins', [`$${BODY.slice(0, -4)}`, '$GPRMC,,V,,,,,,,,,,N*53\r\n']],
    ['cut within its checksum, and other bytes come', [`$${BODY}*${RIGHT[0]}`, '\x81\x82\r\n']],
    ['no checksum', [`$${BODY}\r\n`]],
    ['no checksum, and another line has what would be it', [`$${BODY}\r\n`, `*${RIGHT}\r\n`]],
    ['no line end, and a wrong checksum', [`$${BODY}*${WRONG}`, '$GPRMC,,V,,,,,,,,,,N*53']],
  ])('is proof at once or once its line has ended: %s', (_what, [first = '', ...rest]) => {
    expect(proof(first, ...rest).damaged.isProof).toBe(true);
  });

  it.each([
    ['a checksum that is right again', [`$${BODY}*${RIGHT}\r\n`]],
    ['in small letters too', [`$${BODY}*${RIGHT.toLowerCase()}\r\n`]],
    [
      'cut within its checksum, and the next byte is the digit that lacks',
      [`$${BODY}*${RIGHT[0]}`, `${RIGHT[1]}xyz`, '\r\n'],
    ],
    ['cut, and what is left of the next one fits', [`$${BODY.slice(0, -2)}`, `${BODY.slice(-2)}*${RIGHT}\r\n`]],
    ['without its $, behind one that was left of another sentence', [`${BODY}*${RIGHT}\r\n`], '$'],
    ['its place is not among the bytes', [`$GPGLL,4706.0000,N,00812.0000,E*${WRONG}\r\n`]],
    ['its place is cut off', ['$GPGLL,1230.00\r\n']],
  ])('is none: %s', (_what, [first = '', ...rest], before?: string) => {
    if (before === undefined) {
      expect(proof(first, ...rest).damaged.isProof).toBe(false);
      return;
    }
    const watch = new TellTaleProof();
    watch.see(newBytes(0, bytesFromLatin1(before), 'test', []));
    const damaged = newSentence(0, MEANT, first, ['1.1'], PLACE);
    watch.see(damaged);
    watch.finish();
    expect(damaged.isProof).toBe(false);
  });

  it('waits while its line has not ended, and is proof where nothing more comes', () => {
    const { damaged, proof: watch } = proof(`$${BODY}*${RIGHT[0]}`);
    expect(damaged.isProof).toBeNull();
    watch.finish();
    expect(damaged.isProof).toBe(true);
  });

  it('is given up where its line does not go on for minutes', () => {
    const { damaged, proof: watch } = proof(`$${BODY}*${RIGHT[0]}`);
    watch.settle(119_000);
    expect(damaged.isProof).toBeNull();
    watch.settle(200_000);
    expect(damaged.isProof).toBe(false);
  });
});

const SENTENCES = { baud: 38_400, sentences: { GGA: 1, RMC: 1, GLL: 1, GNS: 1 } };
const TELLING = { share: 1, 'tell-tale': true };

/** Where in a stream a host that looks at the checksum finds a sentence, whichever `$` it begins at: [from, to). */
function rightIn(stream: string): { from: number; to: number }[] {
  return [...stream.matchAll(/\$/g)].flatMap(({ index: from }) => {
    const [whole = '', body = '', sum = ''] =
      /^\$([^*\r\n]*)\*([0-9A-Fa-f]{2})/.exec(stream.slice(from, from + 4000)) ?? [];
    return whole !== '' && sumOf(body) === sum.toUpperCase() ? [{ from, to: from + whole.length }] : [];
  });
}

describe('a tell-tale on record', () => {
  it('is never that of a sentence whose checksum bit errors have made right', async () => {
    const timeline = [
      { at: '2 s', fault: 'bad-checksum', with: TELLING },
      { at: '2 s', fault: 'bit-errors', with: { rate: 0.002 } },
    ];
    const { journal } = await playRun({ scenario: roof({ duration: '12 min', module: SENTENCES, timeline }) });
    const struck = (linesOf(journal, 'sentence') as ToldLine[]).filter(({ faults }) => faults.includes('1.1'));
    const right = struck.filter((line) => isIntact(sentText(line).replace(/\*.*/s, (sum) => sum.toUpperCase())));
    // Of so many sentences some have a flip that undoes the one of the checksum.
    expect(right.length).toBeGreaterThan(2);
    for (const { tellTale } of right) expect(tellTale).toBeUndefined();
    // Nearly all that still carry their place are proof.
    expect(struck.filter(({ tellTale }) => tellTale !== undefined).length).toBeGreaterThan(struck.length / 2);
  });

  it.each([
    ['cut', { fault: 'cut-then-dollar', with: TELLING }],
    ['of half a checksum', { fault: 'checksum-form', with: { ...TELLING, form: 'half' } }],
    ['with a wrong checksum', { fault: 'bad-checksum', with: TELLING }],
  ])('is none of what a host may make of the bytes around it, for all that acts on the line: %s', async (_, damage) => {
    const timeline = [
      { at: '2 s', ...damage },
      { at: '2 s', fault: 'repeated-epoch', with: { share: 0.1 } },
      { at: '2 s', fault: 'line-ending', with: { ending: 'none', share: 0.3 } },
      { at: '2 s', fault: 'bit-errors', with: { rate: 0.001 } },
      { at: '2 s', fault: 'host-overrun', with: { share: 0.3, size: 60 } },
      { at: '2 s', fault: 'garbage-bytes', with: { share: 0.3, size: 3 } },
      { at: '2 s', fault: 'nul-bytes', with: { share: 0.2 } },
      { at: '2 s', chance: '20 /min', for: '150 ms', fault: 'silence' },
    ];
    const { journal, bytes } = await playRun({ scenario: roof({ duration: '6 min', module: SENTENCES, timeline }) });
    const right = rightIn(bytes.toString('latin1'));
    let at = 0;
    let proofs = 0;
    for (const item of journal) {
      if (item.type !== 'sentence' && item.type !== 'bytes') continue;
      const size = sentBytes(item).length;
      if ((item as ToldLine).tellTale !== undefined) {
        proofs++;
        expect(right.filter(({ from, to }) => from < at + size && to > at)).toEqual([]);
      }
      at += size;
    }
    expect(at).toBe(bytes.length);
    expect(proofs).toBeGreaterThan(200);
  });
});
