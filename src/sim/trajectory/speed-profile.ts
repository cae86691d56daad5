/** A stretch of path with its limits. */
export interface Stretch {
  readonly lengthM: number;
  readonly speedMps: number;
  readonly accelerationMps2: number;
}

/** Motion with constant acceleration along one stretch. */
export interface Phase {
  /** Distance from the stretch's start, m. */
  readonly startM: number;
  readonly startSpeedMps: number;
  readonly accelerationMps2: number;
  readonly durationS: number;
}

/** Shorter phases are left out, s. */
const SHORTEST_S = 1e-12;

/**
 * The fastest motion from rest to rest within every stretch's speed and acceleration: one pass forward (what can be
 * reached), one backward (what can still be braked), then up to three phases a stretch. Common practice (trapezoidal
 * velocity profile).
 * @returns the phases of each stretch, none empty where the stretch has a length
 */
export function speedProfile(stretches: readonly Stretch[]): Phase[][] {
  const count = stretches.length;
  const junctionMps = new Float64Array(count + 1);
  for (let i = 1; i < count; i++) {
    const before = stretches[i - 1]!;
    const reachableMps = Math.sqrt(junctionMps[i - 1]! ** 2 + 2 * before.accelerationMps2 * before.lengthM);
    junctionMps[i] = Math.min(before.speedMps, stretches[i]!.speedMps, reachableMps);
  }
  for (let i = count - 1; i > 0; i--) {
    const { accelerationMps2, lengthM } = stretches[i]!;
    const brakableMps = Math.sqrt(junctionMps[i + 1]! ** 2 + 2 * accelerationMps2 * lengthM);
    junctionMps[i] = Math.min(junctionMps[i]!, brakableMps);
  }
  return stretches.map((stretch, i) => phasesOf(stretch, junctionMps[i]!, junctionMps[i + 1]!));
}

function phasesOf(stretch: Stretch, inMps: number, outMps: number): Phase[] {
  const { lengthM, accelerationMps2 } = stretch;
  const peakMps = Math.max(
    inMps,
    outMps,
    Math.min(stretch.speedMps, Math.sqrt(accelerationMps2 * lengthM + (inMps * inMps + outMps * outMps) / 2)),
  );
  const speedingM = (peakMps * peakMps - inMps * inMps) / (2 * accelerationMps2);
  const brakingM = (peakMps * peakMps - outMps * outMps) / (2 * accelerationMps2);
  const cruisingM = Math.max(0, lengthM - speedingM - brakingM);
  const phases: Phase[] = [
    {
      startM: 0,
      startSpeedMps: inMps,
      accelerationMps2,
      durationS: (peakMps - inMps) / accelerationMps2,
    },
    { startM: speedingM, startSpeedMps: peakMps, accelerationMps2: 0, durationS: cruisingM / peakMps },
    {
      startM: Math.max(speedingM, lengthM - brakingM),
      startSpeedMps: peakMps,
      accelerationMps2: -accelerationMps2,
      durationS: (peakMps - outMps) / accelerationMps2,
    },
  ];
  return phases.filter(({ durationS }) => durationS > SHORTEST_S);
}
