import { mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { epochText, sentence } from '../replay/helper.js';
import { readJournal, sentStream } from './journal.js';
import { lodestubHere, temporaryFolder } from './process.js';

const folder = temporaryFolder();
const LOG = ['120000.00', '120001.00', '120002.00'].map((time) => epochText(time)).join('');
const FILES: Readonly<Record<string, string | Buffer>> = {
  'field.nmea': LOG,
  'field.nmea.gz': gzipSync(LOG),
  'cut.gz': gzipSync(LOG.repeat(20)).subarray(0, 60),
  'empty.nmea': '',
  'letter.txt': 'Dear receiver,\nwhere am I?\n',
  'no-time.nmea': sentence('GPRMC,,V,,,,,,,,,,N'),
  'no-date.nmea': sentence('GPGGA,120000,,,,,0,,,,,,,,'),
  'lap.yaml': 'lodestub: 1\nseed: 4\nrecording: ./field.nmea\ntimeline:\n  - { at: 1 s, fault: bad-checksum }\n',
  'faults.yaml': 'timeline:\n  - { at: 1 s, for: 1 s, fault: bad-checksum, with: { share: 1 } }\n',
  'flow.yaml': '{ timeline: [{ at: 1 s, for: 1 s, fault: bad-checksum, with: { share: 1 } }] }\n',
  'signal.yaml':
    '# Not for a recording.\ntimeline:\n  - { at: 1 s, fault: bad-checksum }\n  - { at: 1 s, fault: signal-loss }\n',
  'misspelt.yaml': 'timeline:\n  - { at: 1 s, fault: bad-cheksum }\n',
  'scenario.yaml': 'lodestub: 1\nroute: [{ hold: 3 s, at: [1, 2] }]\n',
};
for (const [name, content] of Object.entries(FILES)) writeFileSync(join(folder, name), content);
mkdirSync(join(folder, 'a-folder'));
const before = readdirSync(folder).sort();

const REFUSED: readonly (readonly [what: string, code: string, says: string, args: readonly string[]])[] = [
  ['a log that is not there', 'replay.missing', 'nope.nmea: there is no such file', ['nope.nmea']],
  ['a log that is a folder', 'replay.missing', 'a-folder: this is a folder', ['a-folder']],
  ['an empty log', 'replay.empty', 'empty.nmea: there is not a byte', ['empty.nmea']],
  ['a log whose packing is cut', 'replay.gzip', 'cut.gz', ['cut.gz']],
  ['what is no log', 'replay.no-sentences', 'timing line', ['letter.txt']],
  ['a log without a time', 'replay.no-stamps', 'timing line', ['no-time.nmea']],
  ['a shift that is none', 'replay.shift', '--shift-time: expected a time', ['field.nmea', '--shift-time', 'soon']],
  [
    'a shift to a day, without a date',
    'replay.no-date',
    '--shift-time',
    ['no-date.nmea', '--shift-time', '2027-04-01'],
  ],
  ['a shift out of the years', 'replay.shift', '1980 to 2079', ['field.nmea', '--shift-time', '-9000 weeks']],
  ['a timeline that is not there', 'scenario.missing', 'nope.yaml', ['field.nmea', '--timeline', 'nope.yaml']],
  [
    'a fault that needs a receiver',
    'scenario.recording',
    'signal.yaml, line 4, column 16, timeline.2.fault',
    ['field.nmea', '--timeline', 'signal.yaml'],
  ],
  [
    'a misspelt fault',
    'scenario.unknown-word',
    'misspelt.yaml, line 2, column 23, timeline.1.fault',
    ['field.nmea', '--timeline', 'misspelt.yaml'],
  ],
  [
    'a whole scenario as a timeline',
    'scenario.unknown-key',
    'scenario.yaml, line 1, column 1, lodestub',
    ['field.nmea', '--timeline', 'scenario.yaml'],
  ],
  ['an unknown module', 'module.unknown-name', 'older-4800', ['field.nmea', '--module', 'older']],
  ['a port that is none', 'port.spec', 'tcp:[HOST:]PORT', ['field.nmea', '--port', 'tcp:abc']],
];

describe('replay refuses, with code 2, one message and the way out, nothing printed, no file touched', () => {
  for (const [what, code, says, args] of REFUSED) {
    it(what, async () => {
      const { stdout, stderr, code: exitCode } = await lodestubHere(['replay', ...args], folder);
      expect({ exitCode, stdout }, stderr).toEqual({ exitCode: 2, stdout: '' });
      const lines = stderr.trimEnd().split('\n');
      expect(lines.at(-1)?.split(': ')[0]).toBe(code);
      expect(lines.at(-1)).toContain(says);
      expect(lines.filter((line) => /^\s+at /.test(line))).toEqual([]);
    });
  }

  it.each([
    ['expected a duration', ['field.nmea', '--longest-gap', 'x']],
    ['stamps, line', ['field.nmea', '--timing', 'slow']],
    ["missing required argument 'LOG'", []],
    ['unknown option', ['field.nmea', '--at', '1, 2']],
  ])('%s', async (says, args) => {
    const ended = await lodestubHere(['replay', ...args], folder);
    expect(ended).toMatchObject({ code: 2, stdout: '' });
    expect(ended.stderr).toContain(says);
  });

  it('and leaves the folder as it was', () => {
    expect(readdirSync(folder).sort()).toEqual(before);
  });
});

/** Far faster than real time; the wait for a whole second of the clock is only for what begins now. */
const FAST = ['--pace', '1000', '--no-control'];

describe('replay', () => {
  it.each(['field.nmea', 'field.nmea.gz'])('plays a log into a file, and the journal proves it: %s', async (name) => {
    const [out, journal] = [`${name}.out`, `${name}.jsonl`];
    const played = await lodestubHere(['replay', name, '--port', `file:${out}`, '--journal', journal, ...FAST], folder);
    expect(played.code, played.stderr).toBe(0);
    expect(played.stdout).toMatch(/^port: .+\nstarted: .+\n$/);
    expect(played.stderr).toContain('SIMULATED DATA');
    expect(readFileSync(join(folder, out), 'latin1')).toBe(LOG);
    const proof = await lodestubHere(['prove', journal, out], folder);
    expect(proof.stdout).toBe(`proven: ${LOG.length} bytes, 6 sentences, 3 epochs\n`);
  });

  it.each(['faults.yaml', 'flow.yaml'])('has the faults of a timeline: %s', async (timeline) => {
    const journal = `${timeline}.jsonl`;
    const args = [
      'field.nmea',
      '--port',
      `file:${timeline}.out`,
      '--journal',
      journal,
      '--timeline',
      timeline,
      ...FAST,
    ];
    expect((await lodestubHere(['replay', ...args], folder)).code).toBe(0);
    const records = readJournal(join(folder, journal));
    const stream = sentStream(records);
    expect(stream).toBe(readFileSync(join(folder, `${timeline}.out`), 'latin1'));
    const differs = stream.split('\r\n').map((line, index) => line !== LOG.split('\r\n')[index]);
    expect(differs).toEqual([false, false, true, true, false, false, false]);
  });

  it('is as good as a scenario, which check and write take too', async () => {
    const checked = await lodestubHere(['check', 'lap.yaml'], folder);
    expect(checked.code, checked.stderr).toBe(0);
    expect(checked.stdout).toContain('recording field.nmea');
    const written = await lodestubHere(['write', 'lap.yaml', '--out', 'lap.out', '--journal', 'lap.jsonl'], folder);
    expect(written.code, written.stderr).toBe(0);
    expect((await lodestubHere(['prove', 'lap.jsonl', 'lap.out'], folder)).stdout).toMatch(/^proven: /);
    const again = await lodestubHere(['repeat', 'lap.jsonl', '--out', 'again.yaml'], folder);
    expect(again.code, again.stderr).toBe(0);
    expect((await lodestubHere(['write', 'again.yaml', '--out', 'again.out'], folder)).code).toBe(0);
    expect(readFileSync(join(folder, 'again.out'), 'latin1')).toBe(readFileSync(join(folder, 'lap.out'), 'latin1'));
  });

  it('has no raw measurements', async () => {
    const ended = await lodestubHere(['write', 'lap.yaml', '--out', 'x.out', '--rinex', 'rinex'], folder);
    expect(ended).toMatchObject({ code: 2, stdout: '' });
    expect(ended.stderr).toMatch(/^replay\.no-receiver: --rinex: /);
  });

  it('makes the line as fast as the recording needs, unless it is told', async () => {
    const full = LOG.replaceAll('$GNGGA', `${sentence('GPTXT,01,01,02,x').repeat(100)}$GNGGA`);
    writeFileSync(join(folder, 'full.nmea'), full);
    let count = 0;
    const baudOf = async (...args: string[]) => {
      const [out, journal] = [`full.${++count}.out`, `full.${count}.jsonl`];
      const more = ['--port', `file:${out}`, '--journal', journal, ...args, ...FAST];
      const { code, stderr } = await lodestubHere(['replay', 'full.nmea', ...more], folder);
      expect(code, stderr).toBe(0);
      expect(stderr.includes('line: 38400 baud, as the recording needs')).toBe(args.length === 0);
      return readJournal(join(folder, journal))[0]?.baud;
    };
    expect(await baudOf()).toBe(38_400);
    expect(readFileSync(join(folder, 'full.1.out'), 'latin1')).toBe(full);
    expect(await baudOf('--baud', '4800')).toBe(4800);
    expect(await baudOf('--module', 'single-band-9600')).toBe(9600);
  });
});
