import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { LeapSeconds, PUBLISHED_LEAP_SECONDS } from '../../src/base/leap-seconds.js';
import { addSeconds, type GpsTime, gpsFromUtc, secondsBetween } from '../../src/base/time.js';
import type { Epoch, Observation } from '../../src/sim/epoch.js';
import { type Band, SIGNAL_KINDS, type SignalKind, signalsOf } from '../../src/sim/signal/signal-kind.js';
import { type SystemName, satelliteId } from '../../src/sim/sky/system.js';
import { ObservationWriter } from '../../src/truth/rinex/observation.js';
import { observationTypeLines } from '../../src/truth/rinex/observation-header.js';
import { type ReadEpoch, readObservation } from './rinex-reader.js';

/** Half of the last digit of F14.3, and of the time tag's 0.1 us with what GPS seconds of week hold in a double. */
const HALF_DIGIT = 0.0005 + 1e-7;
const HALF_TICK_S = 0.6e-7;

const START: GpsTime = { week: 2404, towS: 120_618 };

function satellite(system: SystemName, number: number, frequencyNumber = 0) {
  return { id: satelliteId(system, number), system, frequencyNumber };
}

const SATELLITES = [
  satellite('gps', 5),
  satellite('glonass', 3, -4),
  satellite('galileo', 11),
  satellite('beidou', 21),
  satellite('qzss', 2),
  satellite('navic', 4),
  satellite('sbas', 23),
];

function epochOf(observations: readonly Observation[], time: GpsTime = START, biasS = 0): Epoch {
  return {
    gpsTime: time,
    truth: { latitudeDeg: 0, longitudeDeg: 0, heightEllipsoidM: 10 },
    receiverClock: { biasS, driftSps: 0 },
    observations,
  } as unknown as Epoch;
}

function observationOf(id: string, kind: SignalKind, values: Partial<Observation> = {}): Observation {
  const usual = { pseudorangeM: 2.2e7, carrierCycles: 1.1e8, dopplerHz: -1234.5, cn0DbHz: 44.25, isFresh: false };
  return { id, kind, frequencyNumber: 0, ...usual, ...values };
}

function written(epochs: readonly Epoch[], bands: readonly Band[] = ['L1', 'L5'], satellites = SATELLITES): string {
  let text = '';
  const facts = {
    satellites,
    bands,
    systems: null,
    intervalMs: 200,
    start: START,
    leapSeconds: PUBLISHED_LEAP_SECONDS,
  };
  const writer = new ObservationWriter((piece) => {
    text += piece;
  }, facts);
  for (const epoch of epochs) writer.add(epoch);
  writer.finish();
  return text;
}

function timeOf({ date: [year, month, day, hour, minute], second }: ReadEpoch): GpsTime {
  return addSeconds(gpsFromUtc({ year, month, day, hour, minute, second: 0 }, new LeapSeconds([])), second);
}

const GPS_KIND = signalsOf('gps', ['L1'])[0] as SignalKind;

describe('observation file header (RINEX 3.04, table A2)', () => {
  const { header, types } = readObservation(written([epochOf([observationOf('G05', GPS_KIND)])]));
  const contents = (label: string) => header.filter((line) => line.label === label).map(({ content }) => content);

  it('has every line that must be there, the version first', () => {
    expect(header[0]).toEqual({
      content: `     3.04           ${'OBSERVATION DATA'.padEnd(20)}M (MIXED)`.padEnd(60),
      label: 'RINEX VERSION / TYPE',
    });
    const required = [
      'PGM / RUN BY / DATE',
      'MARKER NAME',
      'MARKER TYPE',
      'OBSERVER / AGENCY',
      'REC # / TYPE / VERS',
      'ANT # / TYPE',
      'APPROX POSITION XYZ',
      'ANTENNA: DELTA H/E/N',
      'SYS / # / OBS TYPES',
      'TIME OF FIRST OBS',
      'SYS / PHASE SHIFT',
      'GLONASS SLOT / FRQ #',
      'GLONASS COD/PHS/BIS',
      'END OF HEADER',
    ];
    expect(required.filter((label) => contents(label).length === 0)).toEqual([]);
  });

  it('says that the data is simulated, and by what', () => {
    expect(contents('PGM / RUN BY / DATE')[0]).toMatch(/^Lodestub /);
    expect(contents('COMMENT').map((line) => line.trimEnd())).toEqual([
      'SIMULATED by Lodestub, for test and teaching only. No',
      'receiver measured this; the date above is the simulated one.',
      'Never use it for navigation, in an AIS or distress',
      'transmitter, or for a clock that others rely on.',
    ]);
  });

  it('lists the types of every system that can be heard', () => {
    expect([...types.keys()].join('')).toBe('GRECJIS');
    expect(types.get('G')).toEqual(['C1C', 'L1C', 'D1C', 'S1C', 'C5Q', 'L5Q', 'D5Q', 'S5Q']);
    expect(types.get('C')?.slice(0, 4)).toEqual(['C2I', 'L2I', 'D2I', 'S2I']);
    expect(types.get('I')).toEqual(['C5A', 'L5A', 'D5A', 'S5A']);
  });

  it('gives place, interval, first epoch, frequency numbers and leap seconds in their columns', () => {
    expect(contents('APPROX POSITION XYZ')[0]?.trimEnd()).toBe('  6378147.0000        0.0000        0.0000');
    expect(contents('INTERVAL')[0]?.trimEnd()).toBe('     0.200');
    expect(contents('TIME OF FIRST OBS')[0]?.trimEnd()).toBe('  2026     2     2     9    30   18.0000000     GPS');
    expect(contents('GLONASS SLOT / FRQ #')[0]?.trimEnd()).toBe('  1 R03 -4');
    expect(contents('LEAP SECONDS')[0]?.trimEnd()).toBe('    18');
  });

  it('goes on in a next line after 13 types and after 8 slots', () => {
    const many = [GPS_KIND, GPS_KIND, GPS_KIND, GPS_KIND];
    const [first = '', second = '', rest] = observationTypeLines('G', many).split('\n');
    expect(first.slice(0, 60)).toBe('G   16 C1C L1C D1C S1C C1C L1C D1C S1C C1C L1C D1C S1C C1C  ');
    expect(second.slice(0, 60)).toBe(`${' '.repeat(6)} L1C D1C S1C`.padEnd(60));
    expect(rest).toBe('');
    const slots = Array.from({ length: 9 }, (_, i) => satellite('glonass', i + 1, i - 4));
    const lines = readObservation(written([], ['L1'], slots)).header.filter(({ label }) =>
      label.startsWith('GLONASS S'),
    );
    expect(lines.map(({ content }) => content.trimEnd())).toEqual([
      '  9 R01 -4 R02 -3 R03 -2 R04 -1 R05  0 R06  1 R07  2 R08  3',
      '    R09  4',
    ]);
  });

  it('stands alone where nothing was measured', () => {
    const read = readObservation(written([epochOf([]), epochOf([])]));
    expect(read.epochs).toEqual([]);
    expect(read.header.at(-1)?.label).toBe('END OF HEADER');
  });
});

describe('observation records (RINEX 3.04, table A3)', () => {
  it('give back every value to its last digit, whatever is measured', () => {
    const value = (limit: number) => fc.double({ min: -limit, max: limit, noNaN: true });
    const measured = fc.record({
      place: fc.nat(SATELLITES.length - 1),
      pseudorangeM: value(5e7),
      carrierCycles: value(4e8),
      dopplerHz: value(1e5),
      cn0DbHz: fc.double({ min: 0, max: 60, noNaN: true }),
      isFresh: fc.boolean(),
      second: fc.boolean(),
    });
    fc.assert(
      fc.property(fc.uniqueArray(measured, { selector: ({ place }) => place }), (all) => {
        const observations = all.flatMap(({ place, second, ...values }) => {
          const { id, system } = SATELLITES[place] as (typeof SATELLITES)[number];
          const kinds = signalsOf(system, ['L1', 'L5']);
          return (second ? kinds : kinds.slice(0, 1)).map((kind) => observationOf(id, kind, values));
        });
        const { epochs } = readObservation(written([epochOf(observations)]));
        expect(epochs.length).toBe(observations.length === 0 ? 0 : 1);
        for (const { id, kind, ...values } of observations) {
          const read = epochs[0]?.satellites.get(id);
          const at = (letter: string) => read?.get(letter + kind.rinex);
          expect(Math.abs((at('C')?.value as number) - values.pseudorangeM)).toBeLessThan(HALF_DIGIT);
          expect(Math.abs((at('L')?.value as number) - values.carrierCycles)).toBeLessThan(HALF_DIGIT);
          expect(Math.abs((at('D')?.value as number) - values.dopplerHz)).toBeLessThan(HALF_DIGIT);
          expect(Math.abs((at('S')?.value as number) - values.cn0DbHz)).toBeLessThan(HALF_DIGIT);
          expect(at('L')?.lossOfLock).toBe(values.isFresh ? '1' : ' ');
        }
      }),
    );
  });

  it('are tagged with what the receiver reads, across minutes, days and weeks', () => {
    const weekEnd = fc.record({
      towS: fc.constantFrom(0, 59.8, 60, 86_400, 604_799.8, 120_618.2),
      biasS: fc.double({ min: -0.001, max: 0.001, noNaN: true }),
    });
    fc.assert(
      fc.property(weekEnd, ({ towS, biasS }) => {
        const time = { week: 2404, towS };
        const text = written([epochOf([observationOf('G05', GPS_KIND)], time, biasS)]);
        const [epoch] = readObservation(text).epochs;
        const off = secondsBetween(timeOf(epoch as ReadEpoch), time) - biasS;
        expect(Math.abs(off)).toBeLessThan(HALF_TICK_S);
        expect((epoch as ReadEpoch).second).toBeLessThan(60);
      }),
    );
  });

  it.each([
    [11.9, '1'],
    [12, '2'],
    [44.25, '7'],
    [53.9, '8'],
    [54, '9'],
    [70, '9'],
    [3, '1'],
  ])('%d dB-Hz is signal strength %s (table 12)', (cn0DbHz, digit) => {
    const text = written([epochOf([observationOf('G05', GPS_KIND, { cn0DbHz })])]);
    expect(readObservation(text).epochs[0]?.satellites.get('G05')?.get('L1C')?.strength).toBe(digit);
  });

  it('leave blank what was not measured or does not fit', () => {
    const second = signalsOf('gps', ['L5'])[0] as SignalKind;
    const text = written([epochOf([observationOf('G05', second, { pseudorangeM: Number.NaN, carrierCycles: 1e11 })])]);
    const read = readObservation(text).epochs[0]?.satellites.get('G05');
    expect([...(read?.keys() ?? [])]).toEqual(['D5Q', 'S5Q']);
  });

  it('put each signal under the code of its system', () => {
    for (const kind of SIGNAL_KINDS) {
      const { id, system } = SATELLITES.find((each) => each.system === kind.system) as (typeof SATELLITES)[number];
      const text = written([epochOf([observationOf(id, kind)])], ['L1', 'L2', 'L5']);
      const read = readObservation(text).epochs[0]?.satellites.get(id);
      expect([...(read?.keys() ?? [])], system).toEqual(['C', 'L', 'D', 'S'].map((letter) => letter + kind.rinex));
    }
  });
});
