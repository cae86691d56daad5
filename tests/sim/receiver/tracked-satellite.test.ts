import { describe, expect, it } from 'vitest';
import { RandomStreams } from '../../../src/base/random.js';
import { addSeconds } from '../../../src/base/time.js';
import type { MessageListener } from '../../../src/sim/receiver/message/plan.js';
import type { Aiding } from '../../../src/sim/receiver/thresholds.js';
import { TrackedSatellite } from '../../../src/sim/receiver/tracked-satellite.js';
import type { ArrivingSignal } from '../../../src/sim/signal/arriving-signal.js';
import { type Band, signalsOf } from '../../../src/sim/signal/signal-kind.js';
import type { OrbitClass } from '../../../src/sim/sky/orbit.js';
import { SYSTEM_NAMES, type SystemName, satelliteId } from '../../../src/sim/sky/system.js';

const START = { week: 2197, towS: 466_218 };

interface Heard {
  readonly satellite: TrackedSatellite;
  readonly signals: ArrivingSignal[];
  readonly told: string[];
  step(tS: number, aiding?: Aiding, free?: number): number;
}

function heard(system: SystemName, bands: readonly Band[] = ['L1'], seed = 1, orbitClass: OrbitClass = 'meo'): Heard {
  const kinds = signalsOf(system, bands);
  const id = satelliteId(system, 3);
  const satellite = new TrackedSatellite({ id, system, number: 3, orbitClass }, kinds, new RandomStreams(seed));
  const view = { rangeM: 23e6 } as ArrivingSignal['view'];
  const signals = kinds.map((kind) => ({ id, kind, view, cn0DbHz: 45 }) as ArrivingSignal);
  const told: string[] = [];
  const tell = (what: string) => () => void told.push(what);
  const listener: MessageListener = {
    timeOfWeek: tell('time'),
    date: tell('date'),
    ephemeris: tell('ephemeris'),
    leapSeconds: tell('leap'),
    corrections: tell('corrections'),
    almanac: (other) => void told.push(other),
  };
  satellite.listener = listener;
  const step = (tS: number, aiding: Aiding = 'none', free = 8) =>
    satellite.live(tS, addSeconds(START, tS), signals, 0, signals.length, aiding, free);
  return { satellite, signals, told, step };
}

describe('a satellite’s signals', () => {
  it('each has a channel of its own; the second is found by handing over, within a step of the first', () => {
    const { satellite, step } = heard('gps', ['L1', 'L5']);
    expect(satellite.channels.length).toBe(2);
    let tS = 0;
    while (satellite.channels[0]?.lockedAtS == null) step(tS++);
    expect(satellite.channels[1]?.lockedAtS).toBeNull();
    step(tS++);
    step(tS++);
    expect(satellite.channels[1]?.lockedAtS).not.toBeNull();
    expect(satellite.state).toBe('tracking');
    expect(satellite.busyChannels).toBe(2);
  });

  it('the second is not searched from nothing: it would take a channel in vain', () => {
    const { satellite, signals, step } = heard('gps', ['L1', 'L5']);
    (signals[0] as ArrivingSignal).cn0DbHz = -Infinity;
    for (let tS = 0; tS < 60; tS++) expect(step(tS)).toBe(8);
    expect(satellite.state).toBe('searching');
    for (let tS = 60; tS < 64; tS++) step(tS, 'precise');
    expect(satellite.state).toBe('tracking');
  });

  it('without a free channel none is searched; with one, the first signal has it', () => {
    const { satellite, step } = heard('gps', ['L1', 'L5']);
    for (let tS = 0; tS < 30; tS++) expect(step(tS, 'precise', 0)).toBe(0);
    expect(satellite.state).toBe('searching');
    step(30, 'precise', 1);
    step(31, 'precise', 1 - satellite.busyChannels);
    expect(satellite.channels.map(({ isBusy }) => isBusy)).toEqual([true, false]);
  });

  it('a jump loses all of them; what was read is kept', () => {
    const { satellite, step } = heard('gps', ['L1', 'L5']);
    for (let tS = 0; tS < 5; tS++) step(tS);
    satellite.learnEphemeris(5);
    satellite.lose(5);
    expect(satellite.busyChannels).toBe(0);
    expect(satellite.orbit(6)).toBe('ephemeris');
    step(6);
    step(7);
    expect(satellite.state).toBe('tracking');
  });

  it('a list without its signals, and signals of an unknown kind, do no harm', () => {
    const { satellite } = heard('gps', ['L1']);
    const other = heard('gps', ['L1', 'L5']).signals;
    expect(satellite.live(0, START, [], 0, 0, 'none', 4)).toBe(4);
    expect(satellite.state).toBe('hidden');
    expect(satellite.live(1, START, other, 1, 1, 'none', 4)).toBe(4);
    expect(satellite.state).toBe('hidden');
  });
});

describe('a satellite’s message', () => {
  it.each(SYSTEM_NAMES)('%s: time and orbit are heard in a strong signal', (system) => {
    const isGeo = system === 'sbas';
    const { told, step } = heard(system, ['L1', 'L5'], 1, isGeo ? 'geo' : 'meo');
    for (let tS = 0; tS < 310; tS++) step(tS);
    expect(told).toContain('time');
    expect(told).toContain('ephemeris');
  });

  it('is not read where only the second band is tracked', () => {
    const { satellite, signals, told, step } = heard('gps', ['L1', 'L5']);
    for (let tS = 0; tS < 4; tS++) step(tS);
    (signals[0] as ArrivingSignal).cn0DbHz = -Infinity;
    told.length = 0;
    for (let tS = 4; tS < 60; tS++) step(tS);
    expect(satellite.state).toBe('tracking');
    expect(told).toEqual([]);
  });

  it('BeiDou’s fast message of its geostationary satellites needs a stronger signal', () => {
    for (const [orbitClass, isRead] of [
      ['meo', true],
      ['geo', false],
    ] as const) {
      const { signals, told, step } = heard('beidou', ['L1'], 1, orbitClass);
      (signals[0] as ArrivingSignal).cn0DbHz = 33;
      for (let tS = 0; tS < 120; tS++) step(tS, 'precise');
      expect(told.includes('ephemeris')).toBe(isRead);
    }
  });
});

describe('what is known of the orbit', () => {
  it.each([
    ['gps', 4 * 3600, 'IS-GPS-200N, 20.3.4.4: fit interval'],
    ['galileo', 4 * 3600, 'Galileo OS service definition, from memory'],
    ['glonass', 1800, 'GLONASS ICD 5.1: interval of tb'],
    ['qzss', 2 * 3600, 'IS-QZSS-PNT, from memory'],
  ] as const)('%s: an ephemeris serves %i s (%s), and as an almanac from then on', (system, lifeS, _source) => {
    const { satellite } = heard(system);
    expect(satellite.orbit(0)).toBe('none');
    satellite.learnEphemeris(100);
    expect(satellite.orbit(100 + lifeS - 1)).toBe('ephemeris');
    expect(satellite.orbit(100 + lifeS)).toBe('almanac');
  });

  it('a start remembers by its kind, and a power-up forgets by its kind', () => {
    for (const [kind, orbit] of [
      ['cold', 'none'],
      ['warm', 'almanac'],
      ['hot', 'ephemeris'],
    ] as const) {
      const { satellite } = heard('gps');
      satellite.remember(kind, 0);
      expect(satellite.orbit(1)).toBe(orbit);
      const known = heard('gps').satellite;
      known.learnEphemeris(0);
      known.restart(kind);
      expect(known.orbit(1)).toBe(orbit);
      expect(known.state).toBe('hidden');
    }
  });

  it('what has set is let go, its orbit stays known', () => {
    const { satellite, step } = heard('gps');
    for (let tS = 0; tS < 5; tS++) step(tS);
    satellite.learnAlmanac();
    satellite.set();
    expect(satellite.state).toBe('hidden');
    expect(satellite.busyChannels).toBe(0);
    expect(satellite.orbit(6)).toBe('almanac');
  });
});
