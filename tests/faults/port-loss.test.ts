import { describe, expect, it } from 'vitest';
import { accountedBytes, linesOf, playRun, roof } from '../run/helper.js';
import { expectSameSentences, faultEvents, JOURNAL_MS, withAndWithout } from './helper.js';

/** Of the default module: 9600 baud, ten bits a byte. */
const BYTE_MS = 10_000 / 9600;

describe('port-loss', () => {
  const LOST = [{ at: '20.4 s', for: '6.1 s', fault: 'port-loss' }];

  it('keeps from the host just the bytes that would have come while the port is away', async () => {
    const { struck, plain } = await withAndWithout(LOST);
    const left: number[] = [];
    for (const line of linesOf(plain.journal, 'sentence')) {
      for (const [k, byte] of Buffer.from(`${line.text}\r\n`, 'latin1').entries()) {
        const comesMs = line.startMs + (k + 1) * BYTE_MS;
        if (comesMs <= 20_400 + JOURNAL_MS || comesMs > 26_500 + JOURNAL_MS) left.push(byte);
      }
    }
    expect(plain.bytes.length - left.length).toBeGreaterThan(2000);
    expect(struck.bytes.equals(Buffer.from(left))).toBe(true);
  });

  it('is none of the module’s business: it transmits what it would have, and the journal says so', async () => {
    const { struck, plain } = await withAndWithout(LOST);
    expectSameSentences(struck, plain);
    expect(accountedBytes(struck.journal).equals(plain.bytes)).toBe(true);
    expect(linesOf(struck.journal, 'dropped')).toEqual([]);
  });

  it('is on record, as a fault and as what came of it', async () => {
    const { struck } = await withAndWithout([...LOST, { at: '40 s', fault: 'port-loss', with: { back: 'other' } }]);
    expect(faultEvents(struck.journal)).toEqual([
      { id: '1.1', kind: 'port-loss', phase: 'begin', atMs: 20_400, with: { 'hang-up': true, back: 'same' } },
      { id: '1.1', kind: 'port-loss', phase: 'end', atMs: 26_500, with: { 'hang-up': true, back: 'same' } },
      { id: '2.1', kind: 'port-loss', phase: 'begin', atMs: 40_000, with: { 'hang-up': true, back: 'other' } },
      // Without `for` it is away for two seconds.
      { id: '2.1', kind: 'port-loss', phase: 'end', atMs: 42_000, with: { 'hang-up': true, back: 'other' } },
    ]);
    const port = struck.lines.map((line) => JSON.parse(line)).filter(({ type }) => type === 'port');
    expect(port).toEqual([
      // A port in memory has no host to hang up on, and no other name.
      { type: 'port', atMs: 20_400, event: 'cannot', fault: '1.1', kind: 'port-loss', deeds: ['hang-up'] },
      { type: 'port', atMs: 20_400, event: 'gone' },
      { type: 'port', atMs: 26_500, event: 'back', name: 'memory' },
      {
        type: 'port',
        atMs: 40_000,
        event: 'cannot',
        fault: '2.1',
        kind: 'port-loss',
        deeds: ['hang-up', 'other-name'],
      },
      { type: 'port', atMs: 40_000, event: 'gone' },
      { type: 'port', atMs: 42_000, event: 'back', name: 'memory' },
    ]);
  });

  it('gives the same bytes and the same journal however time is told', async () => {
    const scenario = roof({ timeline: [{ at: '3.21 s', for: '1.234 s', fault: 'port-loss' }], duration: '10 s' });
    const whole = await playRun({ scenario });
    for (const cutMs of [1, 7, 1000]) {
      const cut = await playRun({ scenario, cutMs });
      expect(cut.bytes.equals(whole.bytes)).toBe(true);
      expect(cut.lines).toEqual(whole.lines);
    }
  });
});
