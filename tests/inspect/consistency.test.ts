import { describe, expect, it } from 'vitest';
import { dataText, hasData } from '../authorities/open-data.js';
import { line } from '../grammar/helper.js';
import { inspectText, itemOf } from './helper.js';

/** Of latitude and, at 60 deg, twice as much of longitude: about 111 km, to one percent. */
const M_PER_DEG = 111_300;
const NEEDS = '(recorded logs of AeroRust/nmea; skipped without ../shared/data)';
const AIRBORNE = 'logs/two-system-airborne.nmea.gz';
const FOUR_SYSTEMS = 'logs/four-system-v410-cold-to-fix.nmea';

const two = (value: number) => String(Math.floor(value)).padStart(2, '0');
const stamp = (tS: number) => `${two(tS / 3600)}${two((tS / 60) % 60)}${two(tS % 60)}`;

function angle(valueDeg: number, width: number, decimals: number): string {
  const minutes = (valueDeg % 1) * 60;
  const digits = decimals === 0 ? 2 : decimals + 3;
  return `${String(Math.floor(valueDeg)).padStart(width, '0')}${minutes.toFixed(decimals).padStart(digits, '0')}`;
}

interface Place {
  readonly eastM: number;
  readonly northM: number;
}

/** About 60.3 N, 10.4 E. */
function place({ eastM, northM }: Place, decimals = 5): string {
  const latitude = angle(60.3 + northM / M_PER_DEG, 2, decimals);
  const longitude = angle(10.4 + eastM / (M_PER_DEG * Math.cos((60.3 * Math.PI) / 180)), 3, decimals);
  return `${latitude},N,${longitude},E`;
}

interface Told {
  readonly tS: number;
  readonly at: Place;
  readonly speedKn?: string;
  readonly course?: string;
}

const rmc = ({ tS, at, speedKn = '0.0', course = '' }: Told, decimals?: number) =>
  line(`GPRMC,${stamp(tS)},A,${place(at, decimals)},${speedKn},${course},010326,,,A`);
const gga = (tS: number, at: Place, decimals?: number) =>
  line(`GPGGA,${stamp(tS)},${place(at, decimals)},1,08,1.0,40.0,M,40.0,M,,`);
const seconds = (count: number) => Array.from({ length: count }, (_, tS) => tS);
const HERE = { eastM: 0, northM: 0 };

/** A drive at 10 m/s with stops and turns: where it is, and its course. */
function drive(tS: number): { at: Place; speedMps: number; courseDeg: number } {
  const isNorth = Math.floor(tS / 60) % 2 === 0;
  const done = Math.floor(tS / 60) * 600;
  const legM = 10 * (tS % 60);
  const northM = Math.ceil(done / 1200) * 600 + (isNorth ? legM : 0);
  const eastM = Math.floor(done / 1200) * 600 + (isNorth ? 0 : legM);
  return { at: { eastM, northM }, speedMps: 10, courseDeg: isNorth ? 0 : 90 };
}

/** The drive, its speed written as a module that mistakes the unit would. @param perMps of that unit */
function driven(perMps: number, turnedDeg = 0): string {
  return seconds(400)
    .map((tS) => {
      const { at, speedMps, courseDeg } = drive(tS);
      const course = ((courseDeg + turnedDeg) % 360).toFixed(1);
      return rmc({ tS, at, speedKn: (speedMps * perMps).toFixed(2), course });
    })
    .join('');
}

const KN_PER_MPS = 3600 / 1852;

describe('speed and course against the positions', () => {
  it('agree where they are told as they are', () => {
    const report = inspectText(driven(KN_PER_MPS));
    expect(itemOf(report, 'motion').verdict).toBe('good');
    expect(report.motion.moving?.windows).toBeGreaterThan(30);
    expect(report.motion).toMatchObject({ slow: null, unit: null, examples: [] });
    // Places are reckoned with metres of a degree that are right to a percent.
    expect(Math.abs((report.motion.ratio as number) - 1)).toBeLessThan(0.02);
  });

  it.each([
    ['m/s', 1, 'bad'],
    ['km/h', 3.6, 'bad'],
    ['mph', 3600 / 1609.344, 'bad'],
  ])('show that the speed is in %s', (unit, perMps, verdict) => {
    const report = inspectText(driven(perMps));
    expect(report.motion.unit).toBe(unit);
    expect(itemOf(report, 'motion')).toMatchObject({ verdict, reason: expect.stringContaining(`as if ${unit} stood`) });
  });

  it('show a course that is off, which no unit explains', () => {
    const report = inspectText(driven(KN_PER_MPS, 90));
    expect(itemOf(report, 'motion')).toMatchObject({ verdict: 'bad', reason: expect.stringMatching(/9\d deg off/) });
    expect(report.motion.unit).toBeNull();
  });

  it('show a speed at rest, and where it is first told', () => {
    const log = (speedKn: string) => seconds(60).map((tS) => rmc({ tS, at: HERE, speedKn, course: '180.0' }));
    expect(itemOf(inspectText(log('0.4').join('')), 'motion').verdict).toBe('good');
    const report = inspectText(log('60.0').join(''));
    expect(itemOf(report, 'motion')).toMatchObject({ verdict: 'bad', reason: expect.stringContaining('line 1') });
    expect(report.motion.moving).toMatchObject({ toldMps: 30.87, goneMps: 0, windows: 5 });
  });

  it('show positions that go while the speed is zero', () => {
    const log = seconds(60).map((tS) => rmc({ tS, at: { eastM: 0, northM: 10 * tS } }));
    expect(itemOf(inspectText(log.join('')), 'motion').verdict).toBe('bad');
  });

  it('agree at rest however coarse the places are, and without a course', () => {
    // A hundredth of a minute is 18.5 m of latitude.
    const log = seconds(120).map((tS) => rmc({ tS, at: { eastM: tS % 20, northM: tS % 20 } }, 2));
    expect(itemOf(inspectText(log.join('')), 'motion').verdict).toBe('good');
  });

  it.each<[what: string, log: string]>([
    [
      'is not told',
      seconds(60)
        .map((tS) => gga(tS, HERE))
        .join(''),
    ],
    [
      'has no course',
      seconds(60)
        .map((tS) => rmc({ tS, at: HERE, speedKn: '60.0' }))
        .join(''),
    ],
    [
      'has holes of 6 s',
      seconds(60)
        .map((i) => rmc({ tS: 6 * i, at: HERE }))
        .join(''),
    ],
    [
      'is told for too short',
      seconds(25)
        .map((tS) => rmc({ tS, at: HERE }))
        .join(''),
    ],
  ])('are untested where the speed %s', (_what, log) => {
    expect(itemOf(inspectText(log), 'motion').verdict).toBe('untested');
  });

  it.skipIf(!hasData(AIRBORNE)).each([AIRBORNE, FOUR_SYSTEMS])(`agree in %s ${NEEDS}`, (name) => {
    expect(itemOf(inspectText(dataText(name)), 'motion').verdict).toBe('good');
  });
});

describe('the places that the sentences of an epoch tell', () => {
  const log = (ggaAt: (tS: number) => Place, decimals = 5) =>
    seconds(60)
      .map((tS) => rmc({ tS, at: { eastM: 0, northM: 10 * tS } }, decimals) + gga(tS, ggaAt(tS), 5))
      .join('');

  it('agree where they are one, to the decimals of both', () => {
    for (const decimals of [2, 3, 4, 5]) {
      const report = inspectText(log((tS) => ({ eastM: 0, northM: 10 * tS }), decimals));
      expect(itemOf(report, 'agreement').verdict).toBe('good');
      expect(report.agreement.places[0]).toMatchObject({ first: 'RMC', second: 'GGA', epochs: 60, apart: 0 });
    }
  });

  it('are steadily apart, by so many metres and where to, which is no damage', () => {
    const report = inspectText(log((tS) => ({ eastM: 3, northM: 10 * tS - 4 })));
    const { reason, verdict } = itemOf(report, 'agreement');
    expect(verdict).toBe('bad');
    expect(reason).toMatch(/5\.\d* m apart.*4[.\d]* m south, 3[.\d]* m east.*steadily, in 60 of 60 epochs, line 2/);
    expect(report.oddities.map(({ id }) => id)).not.toContain('damaged-but-checks');
  });

  it('are now and then apart, which is told as damage too', () => {
    const report = inspectText(log((tS) => ({ eastM: 0, northM: 10 * tS + (tS === 30 ? 50 : 0) })));
    expect(itemOf(report, 'agreement')).toMatchObject({
      verdict: 'bad',
      reason: expect.stringContaining('once in 60'),
    });
    const damage = report.oddities.find(({ id }) => id === 'damaged-but-checks');
    expect(damage).toMatchObject({
      count: 1,
      examples: [{ line: 62, text: expect.stringMatching(/^\$GPGGA,000030/) }],
    });
  });

  it('of which one is the other’s of an epoch before', () => {
    const report = inspectText(log((tS) => ({ eastM: 0, northM: 10 * (tS - 1) })));
    expect(itemOf(report, 'agreement')).toMatchObject({
      verdict: 'bad',
      reason: expect.stringContaining('GGA tells the place that RMC told an epoch before'),
    });
  });

  it('are untested where one sentence tells one, or they are of two times', () => {
    const alone = seconds(9).map((tS) => gga(tS, HERE));
    const ofTwoTimes = seconds(9).map((tS) => rmc({ tS: tS + 1, at: HERE }) + gga(tS, HERE));
    for (const each of [alone, ofTwoTimes]) {
      expect(itemOf(inspectText(each.join('')), 'agreement').verdict).toBe('untested');
    }
  });

  it.skipIf(!hasData(AIRBORNE)).each([AIRBORNE, FOUR_SYSTEMS])(`agree in %s ${NEEDS}`, (name) => {
    expect(itemOf(inspectText(dataText(name)), 'agreement').verdict).toBe('good');
  });
});

const SKY = ['02,29,049', '05,53,088', '12,19,108', '16,40,200'];

describe('satellites that are listed twice', () => {
  it('count once, where they are used and where they are in view', () => {
    const ids = (list: readonly string[]) => [...list, ...Array(12 - list.length).fill('')].join(',');
    const epoch = (tS: number) =>
      rmc({ tS, at: HERE }) +
      line(`GPGGA,${stamp(tS)},${place(HERE)},1,04,1.0,40.0,M,40.0,M,,`) +
      line(`GPGSA,A,3,${ids(['02', '05', '05', '16'])},2.0,1.0,1.7`) +
      line(`GPGSV,1,1,04,${[SKY[0], SKY[1], SKY[1], SKY[3]].map((each) => `${each},44`).join(',')}`);
    const report = inspectText(seconds(20).map(epoch).join(''));
    expect(report.satellites.used).toEqual({ least: 3, median: 3, greatest: 3 });
    expect(report.satellites.inView).toEqual({ least: 3, median: 3, greatest: 3 });
    expect(itemOf(report, 'grammar')).toMatchObject({
      verdict: 'bad',
      reason: expect.stringContaining('listed twice'),
    });
    expect(report.sentences.violations).toMatchObject([{ code: 'satellite-twice', count: 40 }]);
  });
});

describe('C/N0 over time', () => {
  /** A log whose signals are as told, dB-Hz; null: blank. */
  function log(cn0At: (tS: number) => number | null, isValidAt: (tS: number) => boolean = () => true, lengthS = 300) {
    return seconds(lengthS)
      .map((tS) => {
        const cn0 = cn0At(tS);
        const fix = isValidAt(tS) ? rmc({ tS, at: HERE }) : line(`GPRMC,${stamp(tS)},V,,,,,,,010326,,,N`);
        return `${fix}${line(`GPGSV,1,1,04,${SKY.map((each) => `${each},${cn0 ?? ''}`).join(',')}`)}`;
      })
      .join('');
  }
  const verdictOf = (text: string) => itemOf(inspectText(text), 'antenna.course');

  it('is steady, or too short to tell', () => {
    expect(verdictOf(log((tS) => 44 + (tS % 3))).verdict).toBe('good');
    expect(verdictOf(log(() => 44, undefined, 100)).verdict).toBe('untested');
    expect(verdictOf(log(() => null)).verdict).toBe('untested');
  });

  it('is lost from a moment on, though the fix stays', () => {
    const report = inspectText(log((tS) => (tS < 150 ? 44 : null)));
    const { verdict, reason } = itemOf(report, 'antenna.course');
    expect(verdict).toBe('bad');
    expect(reason).toMatch(/from 2026-03-01T00:02:30Z, line 302 on, for .* to the end, with a fix in 100 %/);
    expect(report.antenna.course.silence).toMatchObject({ lastsS: 149, isToTheEnd: true, fixShare: 1 });
  });

  it('is lost with the fix: for good, or for the time of a tunnel', () => {
    const isAway = (fromS: number, toS: number) => (tS: number) => tS >= fromS && tS < toS;
    const lost = (away: (tS: number) => boolean) =>
      verdictOf(
        log(
          (tS) => (away(tS) ? null : 44),
          (tS) => !away(tS),
        ),
      );
    expect(lost(isAway(150, 300)).verdict).toBe('bad');
    expect(lost(isAway(150, 190))).toMatchObject({ verdict: 'remark', reason: expect.stringContaining('for 40 s') });
    expect(lost(isAway(150, 170)).verdict).toBe('good');
  });

  it('falls from a moment on, and stays low', () => {
    const { course } = inspectText(log((tS) => (tS < 200 ? 44 : 36))).antenna;
    expect(verdictOf(log((tS) => (tS < 200 ? 44 : 36)))).toMatchObject({
      verdict: 'remark',
      reason: expect.stringContaining('falls by 8 dB from 2026-03-01T00:03:20Z, line 402 on'),
    });
    expect(course.fall).toMatchObject({ from: { line: 402 } });
    // Weaker for half a minute, and well again.
    expect(verdictOf(log((tS) => (tS > 100 && tS < 130 ? 36 : 44))).verdict).toBe('good');
    expect(verdictOf(log((tS) => (tS < 200 ? 44 : 41))).verdict).toBe('good');
  });
});

describe('what an oddity is shown by', () => {
  it.skipIf(!hasData(AIRBORNE)).each([
    [FOUR_SYSTEMS, 'same-id-two-systems', 'GSV'],
    [FOUR_SYSTEMS, 'gga-count-capped', 'GGA'],
    [FOUR_SYSTEMS, 'gsa-per-system', 'GSA'],
    [AIRBORNE, 'lost-fix-stale', 'RMC'],
    [AIRBORNE, 'tunnel', 'RMC'],
    [AIRBORNE, 'gsv-blank-cn0', 'GSV'],
  ])(`is the sentence itself: %s, %s by %s ${NEEDS}`, (name, id, formatter) => {
    const oddity = inspectText(dataText(name)).oddities.find((each) => each.id === id);
    expect(oddity?.examples.length).toBeGreaterThan(0);
    for (const { text } of oddity?.examples ?? []) expect(text.slice(3, 6)).toBe(formatter);
  });
});
