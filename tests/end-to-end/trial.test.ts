import { execFileSync, spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { describe, expect, it, vi } from 'vitest';
import type { TrialResult } from '../../src/trial/result.js';
import { type Ended, Lodestub, lodestub, Running, temporaryFolder, until } from '../cli/process.js';
import { hasGcc } from './lateness.js';

// Each plays cases of its own, three at once: more would be late for lack of cores.
vi.setConfig({ maxConcurrency: 3 });
/** Times real time. */
const PACE = '3';

const folder = temporaryFolder();
const EXAMPLES = new URL('../trial/examples/', import.meta.url).pathname;
const HOSTS = new URL('../hosts/', import.meta.url).pathname;
const hasPython =
  spawnSync('/usr/bin/python3', ['-c', 'import serial, pynmea2']).status === 0 && process.platform === 'linux';
const cHost = join(folder, 'reader');
if (hasGcc) execFileSync('gcc', ['-O1', '-Wall', '-o', cHost, join(HOSTS, 'reader.c')]);

/** For a machine that is busy with other things. */
const TIMEOUT = { timeout: 240_000 };
const FAILURES = readFileSync(join(EXAMPLES, 'failures.yaml'), 'utf8')
  .replace('./drive.yaml', `${EXAMPLES}drive.yaml`)
  .replace('pace: 5', `pace: ${PACE}`);

const CAREFUL = `[${process.execPath}, ${HOSTS}careful-reader.js, '{link}', '{baud}', '2022-02-18', '${PACE}']`;
const NAIVE = `[${process.execPath}, ${HOSTS}naive-reader.js, '{port}', '{baud}']`;

interface Played extends Ended {
  readonly result: TrialResult;
  readonly file: string;
}

let count = 0;

/** Plays a trial from its text. @param args further options */
async function play(text: string, ...args: readonly string[]): Promise<Played> {
  const base = join(folder, `trial-${++count}`);
  const file = `${base}.yaml`;
  writeFileSync(file, text);
  const ended = await lodestub(['trial', file, '--json', `${base}.json`, '--html', `${base}.html`, ...args], {
    cwd: folder,
  });
  if (!existsSync(`${base}.json`)) throw new Error(`no result: ${ended.stdout}${ended.stderr}`);
  return { ...ended, result: JSON.parse(readFileSync(`${base}.json`, 'utf8')) as TrialResult, file };
}

/** The trial of failures with another host, and reports as that one writes them. */
function withHost(command: string, reports = '{ from: stdout, format: json-lines }'): string {
  return FAILURES.replace(/command: .*/, () => `command: ${command}`).replace(
    /reports: .*/,
    () => `reports: ${reports}`,
  );
}

/** A short trial without faults, for a host. */
function short(host: string, reports: string, expectations: string, more = ''): string {
  return `lodestub-trial: 1
scenario: ${EXAMPLES}drive.yaml
duration: 20 s
pace: ${PACE}
host: ${host}
reports: ${reports}
expect: ${expectations}
${more}`;
}

/** Of each set of faults, the kinds of expectation that were not met. */
function failedKinds({ result }: Played): Record<string, string[]> {
  return Object.fromEntries(
    result.cases.map(({ faults, judged }) => [
      faults,
      judged.flatMap(({ verdict, kind }) => (verdict === 'passed' ? [] : [kind])),
    ]),
  );
}

const whyOf = (played: Played) => played.stdout + played.stderr;

/** A program in one line, as a list of words in YAML; a brace is written twice there. */
const program = (code: string) => JSON.stringify([process.execPath, '-e', code.replaceAll('{', '{{')]);

describe.skipIf(process.platform !== 'linux')('hosts under test', () => {
  it.concurrent('the careful one over serialport stands everything', TIMEOUT, async () => {
    const played = await play(withHost(CAREFUL), '--jobs', '2');
    expect(failedKinds(played), whyOf(played)).toEqual({
      ...{ clean: [], damage: [], 'no-signal': [], 'old-date': [], leap: [], unplugged: [], silence: [] },
    });
    expect(played.code).toBe(0);
  });

  it.concurrent('the naive one over serialport fails where it deserves it', TIMEOUT, async () => {
    const played = await play(withHost(NAIVE), '--jobs', '2', '--junit', join(folder, 'naive.xml'));
    const kinds = failedKinds(played);
    // It takes knots for metres a second.
    expect(kinds.clean, whyOf(played)).toEqual(['speed']);
    expect(kinds.damage).toContain('damaged-sentence');
    expect(kinds['no-signal']).toContain('no-fix');
    expect(kinds['old-date']).toContain('default-date');
    expect(kinds.leap).toEqual(['false-jump']);
    expect(kinds.unplugged).toEqual(expect.arrayContaining(['running', 'restarts', 'no-fix', 'recovery']));
    expect(kinds.silence).toContain('no-fix');
    expect(played.code).toBe(1);
    for (const { id } of played.result.cases)
      expect(played.stdout).toContain(`lodestub trial ${basename(played.file)} --case ${id}`);
    expect(readFileSync(join(folder, 'naive.xml'), 'utf8')).toContain('<failure');
    const damage = played.result.cases.find(({ faults }) => faults === 'damage');
    const around = damage?.judged.find(({ kind }) => kind === 'damaged-sentence')?.surroundings[0];
    expect(around?.sentences.some(({ faults }) => faults.length > 0)).toBe(true);
    expect(around?.said.length).toBeGreaterThan(0);
  });

  it.skipIf(!hasPython).concurrent(
    'one over python3-serial and python3-nmea2 (needs them), as CSV: no damaged sentence, but lost with its port',
    TIMEOUT,
    async () => {
      const text = withHost(`[/usr/bin/python3, ${HOSTS}reader.py, '{port}', '{baud}']`, '{ format: csv }');
      const ids = ['damage', 'no-signal', 'unplugged'].map((set) => `drive/single-band-9600/seed-5/${set}`);
      const played = await play(text, '--jobs', '2', '--case', ...ids);
      expect(failedKinds(played), whyOf(played)).toMatchObject({ damage: [], 'no-signal': [] });
      expect(failedKinds(played).unplugged).toEqual(expect.arrayContaining(['running', 'recovery']));
    },
  );

  it.skipIf(!hasGcc).concurrent('one in C over termios (needs gcc), as text by pattern', TIMEOUT, async () => {
    const text = withHost(
      `[${cHost}, '{port}', '{baud}']`,
      `
  format: text
  time: { form: HHmmss.uu }
  pattern: '^(?<time>\\S+) (?<latitude>\\S+) (?<longitude>\\S+) (?<height>\\S+) (?<used>\\d+)$'
  no-fix: ' none$'`,
    );
    const ids = ['damage', 'no-signal', 'leap'].map((set) => `drive/single-band-9600/seed-5/${set}`);
    const played = await play(text, '--jobs', '2', '--case', ...ids);
    expect(failedKinds(played), whyOf(played)).toEqual({ damage: [], 'no-signal': [], leap: ['false-jump'] });
  });

  it.concurrent('one over TCP that posts GeoJSON by HTTP', TIMEOUT, async () => {
    const text = short(
      `{ command: [${process.execPath}, ${HOSTS}tcp-reader.js, '{tcp}', '{reports}'] }`,
      '{ from: http, format: geojson }',
      '[{ first-fix: 8 s }, { position: 15 m }, { running: true }]',
    );
    const played = await play(text);
    expect(played.code, whyOf(played)).toBe(0);
    expect(played.result.cases[0]?.reports).toBeGreaterThan(10);
  });

  it.concurrent('one that says when it is ready is waited for, and its case ends', TIMEOUT, async () => {
    const code = "setTimeout(() => console.log('listening'), 500); setInterval(() => {}, 1000)";
    const host = `{ command: ${program(code)}, ready: '^listening$' }`;
    const played = await play(short(host, '{ format: json-lines }', '[{ running: true }]', 'open-within: 1 s\n'));
    expect(whyOf(played)).toMatch(/1 case: 1 passed/);
  });

  it.concurrent('in step with its reports: a report an epoch, sooner than in real time', TIMEOUT, async () => {
    const careful = CAREFUL.replace(`'${PACE}'`, "'10'");
    const text = short(
      `{ command: ${careful} }`,
      '{ format: json-lines }',
      '[{ position: 15 m }, { satellites-used: 0 }]',
    ).replace(`pace: ${PACE}`, 'pace: in-step');
    const played = await play(text);
    expect(played.code, whyOf(played)).toBe(0);
    const [only] = played.result.cases;
    expect(only?.reports).toBeGreaterThanOrEqual(19);
    expect(only?.tookMs).toBeLessThan(only?.lengthMs ?? 0);
  });

  it.concurrent('one that runs already finds the module at a link, case after case', TIMEOUT, async () => {
    const link = join(folder, 'gnss');
    const reports = join(folder, 'reports.jsonl');
    const host = new Running('/bin/sh', [
      '-c',
      `exec "$0" "$@" >> ${reports}`,
      process.execPath,
      join(HOSTS, 'careful-reader.js'),
      ...[link, '9600', '2022-02-18', PACE],
    ]);
    const text = short(
      'already-running',
      `{ from: { file: ${reports} }, format: json-lines }`,
      '[{ position: 15 m }, { first-fix: 10 s }]',
      `link: ${link}\nseed: [1, 2]\n`,
    );
    const played = await play(text);
    host.signal('SIGTERM');
    expect(played.code, whyOf(played)).toBe(0);
    expect(existsSync(link)).toBe(false);
  });
});

describe.skipIf(process.platform !== 'linux')('shards', () => {
  it.concurrent('of a trial together are the trial; one that is missing is named', TIMEOUT, async () => {
    const text = short(
      `{ command: ${CAREFUL} }`,
      '{ format: json-lines }',
      '[{ first-fix: 10 s }]',
      'seed: [1, 2, 3]\n',
    ).replace('duration: 20 s', 'duration: 12 s');
    const first = await play(text, '--shard', '1/2');
    const file = first.file;
    const part = join(folder, 'part-2.json');
    const second = await lodestub(['trial', file, '--shard', '2/2', '--json', part]);
    expect(first.result.cases.map(({ seed }) => seed)).toEqual([1, 3]);
    expect(second.code, second.stdout + second.stderr).toBe(0);
    const all = join(folder, 'all.json');
    const parts = [part, file.replace('.yaml', '.json')];
    const merged = await lodestub(['trial', file, '--merge', ...parts, '--json', all]);
    expect(merged.code, merged.stderr).toBe(0);
    const { cases, shard } = JSON.parse(readFileSync(all, 'utf8')) as TrialResult;
    expect([cases.map(({ seed }) => seed), shard]).toEqual([[1, 2, 3], null]);
    const without = await lodestub(['trial', file, '--merge', part]);
    expect(without.code).toBe(2);
    expect(without.stderr).toMatch(/trial\.part-missing: .*seed-1\/none and 1 more/);
  });
});

describe.skipIf(process.platform !== 'linux')('hosts that are no good', () => {
  const cases: readonly [what: string, host: string, expected: RegExp][] = [
    ['ends at once', `{ command: ${program('process.exit(3)')} }`, /BROKEN .*trial\.host-ended: .*exit code 3/s],
    [
      'never opens the port and hears no signal',
      `{ command: ${program("process.on('SIGTERM', () => {}); setInterval(() => {}, 1000)")}, stop-within: 500 ms }`,
      /FAILED .*did not open the port within 1 s; the host did not end within 0.5 s of being asked, and was ended by force/s,
    ],
    ['floods its output', `{ command: [yes, ${'x'.repeat(200)}] }`, /FAILED .*floods its stdout/s],
    [
      'reports in another format',
      `{ command: ${program("setInterval(() => console.log('Position is 58.95 north'), 100)")} }`,
      /FAILED .*no report came: \d+ lines came, none a report in the format json-lines; the first is "Position is/s,
    ],
    [
      'goes on in another format',
      `{ command: ${program('console.log(\'{"lat": 59, "lon": 5}\'); setInterval(() => console.log(\'lat=59\'), 100)')} }`,
      /FAILED .*\d+ lines of other things among the reports, first of them: "lat=59"/s,
    ],
    [
      'prints malformed reports',
      `{ command: ${program('setInterval(() => console.log(\'{"lat": 95, "lon": 5}\'), 100)')} }`,
      /FAILED .*not readable, first of them: .*latitude/s,
    ],
  ];
  it.concurrent.each(cases)('one that %s is named as what it is', TIMEOUT, async (_, host, expected) => {
    const reports = '{ format: json-lines }';
    const text = short(host, reports, '[{ first-fix: 10 s }]', 'open-within: 1 s\n');
    const played = await play(text);
    expect(whyOf(played)).toMatch(expected);
    expect(played.code).toBe(1);
  });

  it.concurrent('one that is not there is bad input: nothing is played', TIMEOUT, async () => {
    const file = join(folder, 'missing.yaml');
    writeFileSync(file, short(`{ command: [./no-such-reader, '{port}'] }`, '{ format: csv }', '[{ running: true }]'));
    const { code, stdout, stderr } = await lodestub(['trial', file]);
    expect({ code, stdout }).toEqual({ code: 2, stdout: '' });
    expect(stderr).toMatch(/^trial\.host-missing: host\.command/);
  });

  it.concurrent('one that crashes fails its case, whatever it reported before', TIMEOUT, async () => {
    const report = JSON.stringify({ time: '2022-02-18T09:30:01Z', lat: 58.95, lon: 5.6 });
    const code = `require('fs').openSync(process.argv[1], 'r'); setTimeout(() => {
      console.log('${report}');
      process.exit(3);
    }, 600)`;
    const command = program(code).replace(/\]$/, ",'{port}']");
    const text = short(`{ command: ${command} }`, '{ format: json-lines }', '[{ position: 15 m, to: 8 s }]');
    const played = await play(text, '--junit', join(folder, 'crash.xml'));
    expect(
      played.result.cases[0]?.judged.map(({ verdict }) => verdict),
      whyOf(played),
    ).toEqual(['passed']);
    expect(played.stdout).toMatch(/FAILED .*\n {8}the host ended with exit code 3 at \d/s);
    expect(readFileSync(join(folder, 'crash.xml'), 'utf8')).toMatch(
      /<failure message="the host ended with exit code 3/,
    );
    expect(played.code).toBe(1);
  });

  it.concurrent('one that reports an epoch in two parts is not outrun in step', TIMEOUT, async () => {
    const code = `const { connect } = require('net'); const [host, port] = process.argv[1].split(':'); let text = '';
      const degrees = (field, digits) => Number(field.slice(0, digits)) + Number(field.slice(digits)) / 60;
      connect(port, host).on('data', (bytes) => {
        const lines = (text + bytes).split('\\r\\n');
        text = lines.pop();
        for (const line of lines) {
          const [name, time, , lat, , lon, , , , date] = line.split(',');
          if (!name.endsWith('RMC')) continue;
          const iso = '20' + date.slice(4) + '-' + date.slice(2, 4) + '-' + date.slice(0, 2) + 'T' +
            [time.slice(0, 2), time.slice(2, 4), time.slice(4)].join(':') + 'Z';
          console.log(JSON.stringify({ time: iso, lat: degrees(lat, 2) }).replace('}', ',"lon":' + degrees(lon, 3) + '}'));
          console.log(JSON.stringify({ time: iso, speed: 0 }));
        }
      })`;
    const command = program(code).replace(/\]$/, ",'{tcp}']");
    const text = short(`{ command: ${command} }`, '{ format: json-lines }', '[{ time: 0 s }, { position: 15 m }]');
    const played = await play(text.replace(`pace: ${PACE}`, 'pace: in-step'));
    expect(played.code, whyOf(played)).toBe(0);
  });

  it.concurrent.each(['SIGINT', 'SIGKILL'] as const)(
    'a trial that ends by %s leaves no host behind',
    TIMEOUT,
    async (signal) => {
      const mine = join(folder, `ended-${signal}`);
      mkdirSync(mine);
      const file = join(mine, 'trial.yaml');
      const code = `require('fs').writeFileSync('pid', String(process.pid)); setInterval(() => {}, 1000)`;
      writeFileSync(
        file,
        short(`{ command: ${program(code)}, folder: . }`, '{ format: json-lines }', '[{ running: true }]'),
      );
      const trial = new Lodestub(['trial', file]);
      await until(
        () => existsSync(join(mine, 'pid')),
        () => `the host: ${trial.stdout}${trial.stderr}`,
      );
      const pid = Number(readFileSync(join(mine, 'pid'), 'utf8'));
      trial.signal(signal);
      const { code: exit } = await trial.ended;
      expect(exit).toBe(signal === 'SIGINT' ? 1 : null);
      await until(() => !existsSync(`/proc/${pid}`), 'the host’s end');
      expect(readdirSync(mine).sort()).toEqual(['pid', 'trial.yaml']);
    },
  );
});
