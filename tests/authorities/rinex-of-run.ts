import { type Ecef, ecefFromGeodetic } from '../../src/base/frames.js';
import { PUBLISHED_LEAP_SECONDS } from '../../src/base/leap-seconds.js';
import { addSeconds, secondsBetween, utcFromGps } from '../../src/base/time.js';
import { ModuleRun } from '../../src/run/module-run.js';
import { readScenario } from '../../src/scenario/read.js';
import type { Epoch } from '../../src/sim/epoch.js';
import { TYPICAL_KLOBUCHAR } from '../../src/sim/signal/atmosphere/klobuchar.js';
import type { Band } from '../../src/sim/signal/signal-kind.js';
import type { Satellite } from '../../src/sim/sky/orbit.js';
import { writeNavigation } from '../../src/truth/rinex/navigation.js';
import { ObservationWriter } from '../../src/truth/rinex/observation.js';
import type { OutsideFix } from './positioning-library.js';

/** The files of some epochs. */
export interface Files {
  readonly observation: string;
  readonly navigation: string;
}

export function filesOf(epochs: readonly Epoch[], satellites: readonly Satellite[], bands: readonly Band[]): Files {
  const [first, second] = epochs as [Epoch, Epoch];
  const start = addSeconds(first.gpsTime, -first.atMs / 1000);
  const leapSeconds = PUBLISHED_LEAP_SECONDS;
  const parts = { observation: '', navigation: '' };
  const writer = new ObservationWriter(
    (text) => {
      parts.observation += text;
    },
    { satellites, bands, systems: null, intervalMs: second.atMs - first.atMs, start, leapSeconds },
  );
  for (const epoch of epochs) writer.add(epoch);
  const durationS = (epochs.at(-1) as Epoch).atMs / 1000;
  writeNavigation(
    (text) => {
      parts.navigation += text;
    },
    { satellites, klobuchar: TYPICAL_KLOBUCHAR, start, durationS, leapSeconds },
  );
  return parts;
}

/** Each epoch that was solved, with what solved it: its time is the receiver's, which is off by less than half a ms. */
export function pairs(epochs: readonly Epoch[], fixes: readonly OutsideFix[]): Array<readonly [Epoch, OutsideFix]> {
  const { gpsTime, atMs } = epochs[0] as Epoch;
  const byMs = new Map(epochs.map((epoch) => [epoch.atMs, epoch]));
  return fixes.flatMap((fix) => {
    const epoch = byMs.get(atMs + Math.round(secondsBetween(fix.time, gpsTime) * 100) * 10);
    return epoch === undefined ? [] : [[epoch, fix] as const];
  });
}

export function truthOf({ truth }: Epoch): Ecef {
  const { latitudeDeg, longitudeDeg, heightEllipsoidM } = truth;
  return ecefFromGeodetic({ latitudeDeg, longitudeDeg, heightM: heightEllipsoidM });
}

export function minus(a: Ecef, b: Ecef): [number, number, number] {
  return [a.xM - b.xM, a.yM - b.yM, a.zM - b.zM];
}

export interface Variant {
  readonly seed: number;
  readonly bands: readonly Band[];
}

/** A ride under an open sky in reach of every system, with a receiver that knows all at its start. */
export function rideWith(errors: 'none' | 'realistic', variant: Variant): string {
  return `${common(variant)}
start: 2026-02-02T09:30:00Z
duration: 5 min
${errors === 'none' ? 'errors: none' : ''}
sky: { systems: [gps, glonass, galileo, beidou, qzss, navic, sbas] }
route:
  - { hold: 30 s, at: [25.00, 110.00, 80 m] }
  - { go: [25.01, 110.02], speed: 60 km/h }
  - { go: [25.00, 110.03], speed: 20 km/h }
`;
}

/**
 * An antenna at rest under four systems of a file, without errors: from just after reference times of GPS, Galileo and
 * BeiDou, and the middle between those of GLONASS, so that no record takes over.
 * @param navigation path of a navigation file of the day
 */
export function realSkyWith(navigation: string, variant: Variant): string {
  return `${common(variant)}
start: 2020-06-25T12:00:30Z
duration: 4 min
errors: none
sky:
  navigation: ${navigation}
  systems: [gps, glonass, galileo, beidou]
route:
  - { hold: 4 min, at: [55.4936, 8.4568, 20 m] }
`;
}

function common({ seed, bands }: Variant): string {
  return `
lodestub: 1
seed: ${seed}
receiver: { start: hot }
module:
  lodestub-module: 1
  title: Two bands, all systems
  baud: 115200
  rate: 1 Hz
  sentences: { RMC: 1 }
  receiver: { elevation-mask: 5 deg, channels: 184, bands: [${bands.join(', ')}] }`;
}

/** By then a hot receiver has found all signals. */
const SETTLED_MS = 10_000;

/** Every `every`-th epoch of a run, once it has settled, and its satellites. */
export async function play(
  text: string,
  every: number,
): Promise<{ epochs: Epoch[]; satellites: readonly Satellite[] }> {
  const scenario = await readScenario(text, { file: 'it.yaml', baseFolder: '.' });
  const epochs: Epoch[] = [];
  const run = new ModuleRun(scenario, {
    now: utcFromGps({ week: 2404, towS: 0 }),
    send: () => {},
    withObservations: true,
    onStep: ({ epoch }) => {
      if (epoch.truth !== null && epoch.atMs >= SETTLED_MS && epoch.index % every === 0) epochs.push(epoch);
    },
  });
  run.advanceTo(Infinity);
  return { epochs, satellites: run.sky.satellites };
}
