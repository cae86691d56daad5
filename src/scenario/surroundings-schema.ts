import { z } from 'zod';
import { quantity } from '../base/quantity-schema.js';
import type { Surroundings } from '../sim/surroundings.js';
import { byKey, type ChoiceProblem, choice, strict } from './fields.js';

const WORDS = ['open', 'tunnel', 'street-canyon', 'forest', 'indoors'] as const;
type Word = (typeof WORDS)[number];

/** The mappings that name surroundings with their measures, by their one key. */
const MEASURED = ['horizon', 'street-canyon', 'forest', 'indoors'];

const height = (byDefault: string) => quantity('length', { min: 0, max: 1000 }).prefault(byDefault);

const CANYON = strict({
  width: quantity('length', { exclusiveMin: 0, max: 1000 }).prefault('20 m').describe('From facade to facade'),
  left: height('20 m').describe('How far the facade to the left of the street’s direction rises above the antenna'),
  right: height('20 m').describe('The same to the right'),
  direction: quantity('angle', { min: 0, max: 360 })
    .optional()
    .describe('Direction of the street; default: the course of the antenna'),
});

const FOREST = strict({
  canopy: quantity('length', { exclusiveMin: 0, max: 100 })
    .prefault('15 m')
    .describe('Height of the foliage above the antenna'),
  'loss-per-m': quantity('level', { min: 0, max: 10 }).prefault('0.5 dB').describe('What a metre of foliage takes'),
});

const INDOORS = strict({
  roof: quantity('level', { min: 0, max: 100 }).prefault('18 dB').describe('What the roof takes'),
  wall: quantity('level', { min: 0, max: 100 }).prefault('25 dB').describe('What the walls take'),
});

const profileError = 'expected two points or more, [azimuth, elevation] in degrees, in ascending azimuth from 0 to 360';

const HORIZON = z
  .array(z.tuple([z.number().min(0).max(360), z.number().min(0).max(90)], { error: profileError }), {
    error: profileError,
  })
  .min(2, { error: profileError })
  .refine((points) => points.every(([azimuth], i) => i === 0 || azimuth > (points[i - 1]?.[0] ?? 0)), {
    error: profileError,
  })
  .describe('Elevation of the horizon by azimuth, straight between the points: [[0, 5], [90, 22.5]]');

const NAMED: Readonly<Record<Word, () => Surroundings>> = {
  open: () => ({ kind: 'open' }),
  tunnel: () => ({ kind: 'tunnel' }),
  'street-canyon': () => canyon(CANYON.parse({})),
  forest: () => forest(FOREST.parse({})),
  indoors: () => indoors(INDOORS.parse({})),
};

function canyon({ width, left, right, direction }: z.output<typeof CANYON>): Surroundings {
  return {
    kind: 'street-canyon',
    widthM: width,
    leftHeightM: left,
    rightHeightM: right,
    directionDeg: direction ?? null,
  };
}

function forest(settings: z.output<typeof FOREST>): Surroundings {
  return { kind: 'forest', canopyM: settings.canopy, lossDbPerM: settings['loss-per-m'] };
}

function indoors({ roof, wall }: z.output<typeof INDOORS>): Surroundings {
  return { kind: 'indoors', roofDb: roof, wallDb: wall };
}

const VARIANTS = [
  z.enum(WORDS).transform((word): Surroundings => NAMED[word]()),
  strict({ horizon: HORIZON }, MEASURED).transform(
    ({ horizon }): Surroundings => ({ kind: 'horizon', points: horizon }),
  ),
  strict({ 'street-canyon': CANYON.describe('Between two rows of houses') }, MEASURED).transform((value) =>
    canyon(value['street-canyon']),
  ),
  strict({ forest: FOREST.describe('Under trees') }, MEASURED).transform((value) => forest(value.forest)),
  strict({ indoors: INDOORS.describe('In a building') }, MEASURED).transform((value) => indoors(value.indoors)),
] as const;

/** What stands around the antenna: a word, or a mapping with measures. */
export function surroundings() {
  const select = (value: unknown): number | ChoiceProblem => {
    if (typeof value === 'string') return 0;
    const index = byKey('surroundings as one of the words, or', MEASURED, [])(value);
    if (typeof index === 'number') return index + 1;
    return index.kind === 'type'
      ? { kind: 'unknown-word', expected: `one of ${WORDS.join(', ')}`, words: WORDS }
      : index;
  };
  return choice(VARIANTS, select) as unknown as z.ZodType<Surroundings>;
}
