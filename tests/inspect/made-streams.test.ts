import { describe, expect, it } from 'vitest';
import { inspectText as textOfReport } from '../../src/inspect/inspect-text.js';
import { line } from '../grammar/helper.js';
import { inspectDeliveries, inspectText, itemOf } from './helper.js';

const two = (value: number) => String(Math.floor(value)).padStart(2, '0');

/** `hhmmss`, with hundredths where they are asked for. */
function stamp(tS: number, hasDecimals = false): string {
  const text = `${two(tS / 3600)}${two((tS / 60) % 60)}${two(tS % 60)}`;
  return hasDecimals ? `${text}.${two((tS % 1) * 100 + 1e-6)}` : text;
}

function angle(valueDeg: number, width: number): string {
  const minutes = (Math.abs(valueDeg) % 1) * 60;
  return `${String(Math.floor(Math.abs(valueDeg))).padStart(width, '0')}${minutes.toFixed(6).padStart(9, '0')}`;
}

interface Told {
  readonly tS: number;
  readonly latitudeDeg?: number;
  readonly longitudeDeg?: number;
  readonly speedKn?: number;
  readonly altitudeM?: number;
}

function place({ latitudeDeg = 47, longitudeDeg = 8 }: Told): string {
  const [north, east] = [latitudeDeg < 0 ? 'S' : 'N', longitudeDeg < 0 ? 'W' : 'E'];
  return `${angle(latitudeDeg, 2)},${north},${angle(longitudeDeg, 3)},${east}`;
}

/** RMC and GGA of one epoch. */
function epoch(told: Told, hasDecimals = false): string {
  const time = stamp(told.tS, hasDecimals);
  return (
    line(`GPRMC,${time},A,${place(told)},${told.speedKn ?? 0},,010326,,,A`) +
    line(`GPGGA,${time},${place(told)},1,08,1.0,${told.altitudeM ?? 400},M,48.0,M,,`)
  );
}

function range(count: number): number[] {
  return Array.from({ length: count }, (_, i) => i);
}

describe('the rhythm of stamps of whole seconds at 5 Hz', () => {
  const at5Hz = (fromS: number, seconds: number) => range(5 * seconds).map((i) => epoch({ tS: fromS + i / 5 }));

  it('is told with its rate, and nothing is missing where nothing is', () => {
    const report = inspectText(at5Hz(0, 60).join(''));
    expect(report.timing.intervalS).toBeCloseTo(0.2, 2);
    expect(report.timing.gapCount).toBe(0);
    expect(itemOf(report, 'gaps').verdict).toBe('good');
  });

  it('shows a hole of 5 min', () => {
    const report = inspectText([...at5Hz(0, 100), ...at5Hz(400, 100)].join(''));
    expect(itemOf(report, 'gaps').verdict).toBe('bad');
    expect(report.timing).toMatchObject({ gapCount: 1, longestGapS: 301 });
    expect(report.timing.gaps).toHaveLength(1);
    expect(report.timing.intervalS).toBeCloseTo(0.2, 2);
  });

  it('of a stream that tells one time only is not told', () => {
    const report = inspectText(
      range(50)
        .map(() => epoch({ tS: 5 }))
        .join(''),
    );
    expect(itemOf(report, 'gaps').verdict).toBe('untested');
  });
});

describe('stamps that stand still', () => {
  const frozen = (rateHz: number) => [
    ...range(200 * rateHz).map((i) => epoch({ tS: i / rateHz })),
    ...range(400 * rateHz).map(() => epoch({ tS: 200 })),
  ];

  it.each([1, 5])('are no rhythm: at %i Hz the rate is that of before, and what is not known is said', (rateHz) => {
    const { timing, items } = inspectText(frozen(rateHz).join(''));
    expect(timing.intervalS).toBeCloseTo(1 / rateHz, 2);
    expect(timing.stuck?.epochs).toBe(400 * rateHz - rateHz);
    expect(timing.stuck?.from.line).toBe(2 * 200 * rateHz + 1);
    const gaps = items.find(({ key }) => key === 'gaps');
    expect(gaps?.verdict).toBe('remark');
    expect(gaps?.reason).toContain(`${rateHz} Hz by the time stamps`);
    expect(gaps?.reason).toContain('not told where the time stands still');
  });

  it('are none where a stamp comes twice now and then', () => {
    const { timing } = inspectText(
      range(100)
        .map((i) => epoch({ tS: i - Math.floor(i / 10) }))
        .join(''),
    );
    expect(timing).toMatchObject({ stuck: null, intervalS: 1 });
  });
});

describe('stamps that wander', () => {
  it('are told of, with the rate that they have on average', () => {
    const report = inspectText(
      range(600)
        .map((i) => epoch({ tS: i + ((37 * i) % 300) / 1000 }, true))
        .join(''),
    );
    expect(report.timing.intervalS).toBeCloseTo(1, 2);
    expect(itemOf(report, 'gaps').reason).toContain('1 Hz by the time stamps, none missing');
    expect(itemOf(report, 'jitter')).toMatchObject({
      verdict: 'remark',
      reason: expect.stringMatching(/the time stamps themselves wander: \d+(\.\d)? ms r\.m\.s\. about 1 s/),
    });
  });

  it('do not where one alone is off, as that of a first fix is', () => {
    const report = inspectText(
      [epoch({ tS: 9.77 }, true), ...range(60).map((i) => epoch({ tS: 11 + i }, true))].join(''),
    );
    expect(report.timing.intervalS).toBe(1);
    expect(itemOf(report, 'jitter').verdict).toBe('untested');
  });
});

describe('jitter', () => {
  it('is the root mean square about the interval, without the gaps, and is called so', () => {
    const offMs = [0, 30, -30];
    const deliveries = range(90).map((i) => {
      const arrivedMs = (i < 45 ? i : i + 20) * 1000 + (offMs[i % 3] as number);
      return { text: epoch({ tS: i < 45 ? i : i + 20 }), atMs: arrivedMs };
    });
    const report = inspectDeliveries(deliveries);
    // Steps of 1030, 940 and 1030 ms about 1030 ms: sqrt(90^2 / 3).
    expect(Math.abs((report.timing.jitterMs as number) - 90 / Math.sqrt(3))).toBeLessThan(1);
    expect(itemOf(report, 'jitter').reason).toContain('r.m.s. about 1.03 s, gaps left out');
  });
});

describe('a log that breaks off', () => {
  const log = range(120)
    .map((tS) => epoch({ tS }))
    .join('');

  it.each([1, 2, 3, 4, 5, 20, 60])('by %i bytes too early has no wrong checksum', (bytes) => {
    const report = inspectText(log.slice(0, -bytes));
    expect(report.sentences.checksums).toMatchObject({ bad: 0, malformed: 0, absent: 0 });
    expect(itemOf(report, 'checksums').verdict).toBe('good');
    expect(report.sentences.counts.map(({ badChecksums }) => badChecksums)).toEqual([0, 0]);
    expect(report.items.filter(({ verdict }) => verdict === 'bad')).toEqual([]);
    expect(report.stream).toMatchObject({ bytes: log.length - bytes, isCutOff: bytes > 1 });
  });

  it('has one where the same break stands in its middle', () => {
    const report = inspectText(log.slice(0, -3) + log);
    expect(report.sentences.checksums.malformed + report.sentences.checksums.bad).toBe(1);
  });
});

describe('the distance that an antenna has gone', () => {
  /** Radius of a parallel: a cos(latitude) / sqrt(1 - e^2 sin^2(latitude)) (WGS-84, textbook geometry, from memory). */
  function parallelM(latitudeDeg: number): number {
    const sine = Math.sin((latitudeDeg * Math.PI) / 180);
    return (6_378_137 * Math.cos((latitudeDeg * Math.PI) / 180)) / Math.sqrt(1 - 0.006694379990141 * sine * sine);
  }
  /** Coordinates have six decimals of the minutes, and the steps are a little shorter than the parallel. */
  const ONE_IN_A_THOUSAND = 1e-3;

  it.each([0, 100])('is right far from the first position too: %i deg of longitude away', (awayDeg) => {
    const steps = range(101).map((i) => ({ tS: 10 + i, latitudeDeg: 45, longitudeDeg: awayDeg - 50 + i * 0.001 }));
    const going = steps.map((told) => epoch({ ...told, speedKn: 150 }));
    // The long way there counts for nothing: no speed is told.
    const start = epoch({ tS: 0, latitudeDeg: 45, longitudeDeg: -50 });
    const there = epoch({ tS: 9, latitudeDeg: 45, longitudeDeg: awayDeg - 50 });
    const { position } = inspectText(start + there + going.join(''));
    const trueM = (0.1 * Math.PI * parallelM(45)) / 180;
    expect(position.zero).toBe('first');
    expect(Math.abs((position.distanceM as number) / trueM - 1)).toBeLessThan(ONE_IN_A_THOUSAND);
  });
});

describe('heights about a reference', () => {
  it('are judged by what 95 % of their errors lie within, however they are spread', () => {
    const reference = { latitudeDeg: 47, longitudeDeg: 8, altitudeMslM: 400 };
    const log = range(100).map((tS) => epoch({ tS, altitudeM: tS % 10 === 0 ? 440 : 400 }));
    const report = inspectText(log.join(''), { reference });
    // One in ten is 40 m too high: 95 % lie within 40 m, though mean and deviation are 4 and 12 m.
    expect(report.position.error?.heightP95M).toBeCloseTo(40, 6);
    expect(itemOf(report, 'height')).toMatchObject({ verdict: 'bad', reason: expect.stringContaining('40 m') });
  });
});

describe('a long log', () => {
  it('says that every second position is counted', () => {
    const log = range(32_769).map((i) => line(`GPGGA,${stamp(i)},${place({ tS: i })},1,08,1.0,400,M,48.0,M,,`));
    expect(itemOf(inspectText(log.join('')), 'position').reason).toContain('every 2nd counted');
  });
});

describe('a second signal', () => {
  it('is not held against the curve of the first', () => {
    const gsv = (cn0: number, signal: string) => line(`GPGSV,1,1,02,05,40,083,${cn0},12,60,228,${cn0},${signal}`);
    const log = range(60).map((tS) => epoch({ tS }) + gsv(46, '1') + gsv(30, '8'));
    const report = inspectText(log.join(''));
    const [first, second] = report.antenna.signals;
    expect(first?.signal).toBe('1');
    expect(first?.medianDeviationDb).not.toBeNull();
    expect(second).toMatchObject({ signal: '8', medianDeviationDb: null, verdict: 'untested' });
    expect(second?.bins.map(({ expectedDbHz }) => expectedDbHz)).toEqual([null, null]);
    const lines = textOfReport(report, { columns: 100 }).split('\n');
    expect(lines.find((each) => each.includes('gps, signal 1'))).toContain('from the expected');
    expect(lines.find((each) => each.includes('gps, signal 8'))).not.toContain('from the expected');
  });
});

describe('a wandering position', () => {
  const wander = (altitudeOf: (tS: number) => number) =>
    range(120)
      .map((tS) => epoch({ tS, latitudeDeg: 47 + 1e-6 * (tS % 7), altitudeM: altitudeOf(tS) }))
      .join('');
  const ids = (log: string) => inspectText(log).oddities.map(({ id }) => id);

  it('is one of an antenna at rest where its height stays', () => {
    expect(ids(wander((tS) => 400 + (tS % 5)))).toContain('static-drift');
  });

  it('is none where it goes straight up', () => {
    expect(ids(wander((tS) => 400 + 2 * tS))).not.toContain('static-drift');
  });
});

describe('a log without checksums', () => {
  const bare = (text: string) => text.replace(/\*../g, '');

  it('has its time judged too, by the stamps of all sentences', () => {
    const log = bare([0, 1, 2, 3, 1, 2, 3].map((tS) => epoch({ tS })).join(''));
    const report = inspectText(log);
    expect(report.time.stepsBack).toBe(1);
    expect(report.oddities.find(({ id }) => id === 'time-backwards')?.count).toBe(1);
  });
});
