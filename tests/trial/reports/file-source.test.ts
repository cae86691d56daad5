import {
  appendFileSync,
  mkdirSync,
  mkdtempSync,
  renameSync,
  rmSync,
  truncateSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { ReadReport } from '../../../src/trial/reports/report-reader.js';
import { openReports, type ReportSource, withLimits } from '../../../src/trial/reports/report-source.js';
import { NOW_MS, settingsOf } from './helper.js';

/** Longer than the file is left alone between two looks. */
const A_LOOK_MS = 60;

let folder: string;
let file: string;
let reports: ReadReport[];
let bad: string[];
let source: ReportSource;

const line = (n: number) => `{"lat":${n},"lon":2,"time":"2022-02-18T09:30:0${n}Z"}\n`;
const latitudes = () => reports.map((each) => each.latitudeDeg);
const look = () => vi.advanceTimersByTime(A_LOOK_MS);
/** Writes a time of change that differs, however coarse the file system counts. */
const write = (text: string, n: number) => {
  writeFileSync(file, text);
  utimesSync(file, 1000 + n, 1000 + n);
};

async function open(yaml = "{ from: { file: '{folder}/out' }, format: json-lines }") {
  const take = {
    report: (read: ReadReport) => void reports.push(read),
    bad: (_: string, why: string) => void bad.push(why),
  };
  const surroundings = { baseFolder: '/', values: { folder } };
  source = await openReports(settingsOf(yaml), take, { now: () => NOW_MS }, surroundings);
}

beforeEach(() => {
  vi.useFakeTimers({ toFake: ['setInterval', 'clearInterval', 'setTimeout', 'clearTimeout'] });
  folder = mkdtempSync(join(tmpdir(), 'reports-'));
  file = join(folder, 'out');
  reports = [];
  bad = [];
});

afterEach(async () => {
  await source?.close();
  vi.useRealTimers();
  rmSync(folder, { recursive: true });
});

describe('a file of reports', () => {
  it('may appear later and grow, and is read to its end when the case is over', async () => {
    await open();
    look();
    writeFileSync(file, '');
    look();
    appendFileSync(file, line(1) + line(2).slice(0, 10));
    look();
    expect(latitudes()).toEqual([1]);
    appendFileSync(file, line(2).slice(10));
    look();
    expect(latitudes()).toEqual([1, 2]);
    appendFileSync(file, line(3).trimEnd());
    await source.close();
    expect(latitudes()).toEqual([1, 2, 3]);
    expect(bad).toEqual([]);
  });

  it('holds nothing of this case at the start: what an earlier run has left is not read', async () => {
    write(line(1) + line(2), 0);
    await open();
    look();
    expect(latitudes()).toEqual([]);
    appendFileSync(file, line(3));
    look();
    expect(latitudes()).toEqual([3]);
  });

  it('of an earlier run is read from its start once it is written anew', async () => {
    write(line(1) + line(2), 0);
    await open();
    write(line(1), 1);
    look();
    expect(latitudes()).toEqual([1]);
  });

  it('may be cut and written again, longer, of the same length, or replaced by another', async () => {
    await open();
    write(line(1), 0);
    look();
    truncateSync(file, 0);
    look();
    appendFileSync(file, line(1) + line(2));
    look();
    expect(latitudes()).toEqual([1, 2]);
    write(line(3) + line(4), 2);
    look();
    expect(latitudes()).toEqual([1, 2, 3, 4]);
    appendFileSync(file, line(5));
    writeFileSync(join(folder, 'new'), line(6));
    renameSync(join(folder, 'new'), file);
    look();
    expect(latitudes()).toEqual([1, 2, 3, 4, 5, 6]);
    expect(bad).toEqual([]);
  });

  it('whose end is written over by the next points is read as what it says now', async () => {
    await open("{ from: { file: '{folder}/out' }, format: gpx }");
    const point = (n: number) => `<trkpt lat="${n}" lon="2"><time>2022-02-18T09:30:0${n}Z</time></trkpt>`;
    for (let n = 1; n <= 4; n++) {
      write(`<gpx><trk><trkseg>${[1, 2, 3, 4].slice(0, n).map(point).join('\n')}</trkseg></trk></gpx>`, n);
      look();
      expect(latitudes()).toHaveLength(n);
    }
    expect(bad).toEqual([]);
  });

  it('that only ever holds what is so now tells it each time that it is written, without an end of its line', async () => {
    await open();
    for (let n = 1; n <= 3; n++) {
      write('{"lat":1,"lon":2}', n);
      look();
      look();
    }
    expect(latitudes()).toEqual([1, 1, 1]);
  });

  it('may hold characters that a look cuts in the middle, and what is no UTF-8', async () => {
    await open(
      "{ from: { file: '{folder}/out' }, format: text, pattern: '^(?<lat>\\S+) (?<lon>\\S+) ø$' }".replace(
        '\\\\',
        '\\',
      ),
    );
    const bytes = Buffer.from('1 2 ø\n');
    writeFileSync(file, bytes.subarray(0, 5));
    look();
    appendFileSync(file, bytes.subarray(5));
    look();
    appendFileSync(file, Buffer.from([0x31, 0xff, 0x20, 0x32, 0x20, 0xc3, 0xb8, 0x0a]));
    look();
    expect(latitudes()).toEqual([1]);
    expect(bad).toEqual(['the latitude "1\ufffd" is no number (it is not UTF-8)']);
  });

  it('that is a folder is refused at the start, and told later', async () => {
    mkdirSync(file);
    await expect(open()).rejects.toThrow(`trial.reports-file: reports.from.file: ${file}: it is no file.`);
    rmSync(file, { recursive: true });
    await open();
    mkdirSync(file);
    look();
    look();
    expect(bad).toEqual([`${file}: it is no file`]);
  });
});

describe('the host’s own output', () => {
  it('begins anew with each of its processes', async () => {
    await open('format: csv');
    source.hostText('stdout', 'lat,lon\n1,2\n3,');
    source.hostText('stderr', 'lat,lon\n7,7\n');
    source.hostEnded();
    source.hostText('stdout', 'lon,lat\n6,5\n');
    expect(latitudes()).toEqual([1, 5]);
    expect(bad).toEqual(['a latitude without a longitude']);
  });

  it('is taken up to so many reports a second, and that is told once', async () => {
    await open('format: json-lines');
    source.hostText('stdout', '{"lat":1,"lon":2}\n'.repeat(50_005));
    expect(reports).toHaveLength(50_000);
    expect(bad).toEqual(['more than 200 reports a second: some of them are not read']);
  });
});

describe('what is taken of many reports', () => {
  const REPORT = { latitudeDeg: 1 } as ReadReport;

  /** How many reports are taken, and when the last one was, of so many a second for some hours. */
  function taken(perSecond: number, hours: number) {
    let [nowMs, count, lastMs] = [1_000_000, 0, 0];
    const taker = {
      report: () => {
        count += 1;
        lastMs = nowMs;
      },
      bad: () => {},
    };
    const limited = withLimits(taker, { now: () => nowMs });
    const endMs = nowMs + hours * 3_600_000;
    for (; nowMs < endMs; nowMs += 1000) for (let i = 0; i < perSecond; i++) limited.report(REPORT);
    return { count, lastMs, endMs };
  }

  it('is all of ten epochs a second at five sentences, for hours', () => {
    expect(taken(50, 3).count).toBe(50 * 3 * 3600);
  });

  it('is some of a flood, up to its end, and no more than memory stands', () => {
    const { count, lastMs, endMs } = taken(2000, 0.1);
    expect(count).toBeLessThanOrEqual(50_000 + 200 * 360);
    expect(endMs - lastMs).toBeLessThanOrEqual(1000);
  });
});
