import { z } from 'zod';
import { formatQuantity } from '../base/quantity.js';
import { quantity } from '../base/quantity-schema.js';
import { GPS_EPOCH_DAY } from '../base/time.js';
import type { ReceiverSettings } from '../sim/receiver/settings.js';
import type { AntennaKind } from '../sim/signal/antenna.js';
import type { Band } from '../sim/signal/signal-kind.js';
import { SYSTEM_NAMES } from '../sim/sky/system.js';
import { day, strict, type Words, whole } from './fields.js';

const ANTENNAS = { good: 'good', patch: 'patch', poor: 'poor' } as const satisfies Words<AntennaKind>;
const BANDS = { L1: 'L1', L2: 'L2', L5: 'L5' } as const satisfies Words<Band>;
const HEADINGS = {
  none: 'none',
  course: 'course',
  'two-antennas': 'two-antennas',
} as const satisfies Words<ReceiverSettings['heading']>;

const systemsError = `expected a list out of ${SYSTEM_NAMES.join(', ')}`;
const bandsError = 'expected one band of L1, L2, L5, or two with L1: [L1, L2] or [L1, L5]';

const SMOOTHING = strict({
  'hold-below': quantity('speed', { min: 0, max: 10 })
    .optional()
    .describe('Below this speed the position is held; default: never'),
  'low-pass': quantity('duration', { min: 0, max: 600 })
    .prefault(0)
    .describe('Time constant of a low-pass on the position; 0: none'),
  'dead-reckoning': quantity('duration', { min: 0, max: 3600 })
    .prefault(0)
    .describe('How long the position is carried on without satellites, as quality 6; 0: not at all'),
});

const SEPARATIONS = {
  model: 'model',
  zero: 'zero',
  blank: 'blank',
} as const satisfies Words<ReceiverSettings['geoidSeparation']>;
const ALTITUDES = { msl: 'msl', blank: 'blank' } as const;
const WHEN_LOST = { blank: 'blank', last: 'last' } as const satisfies Words<ReceiverSettings['positionWhenLost']>;
const STATUSES = { A: 'A', V: 'V' } as const satisfies Words<ReceiverSettings['estimatedStatus']>;

/** Every setting of a receiver, without its default. */
const SETTINGS = {
  'elevation-mask': quantity('angle', { min: 0, max: 90 }).describe('Satellites below it are not used'),
  channels: whole(0, 1000).describe('Signals searched or tracked at a time'),
  systems: z
    .array(z.enum(SYSTEM_NAMES, { error: systemsError }), { error: systemsError })
    .min(1, { error: systemsError })
    .describe('Systems that it can track; default: all'),
  bands: z
    .array(z.enum(BANDS, { error: bandsError }), { error: bandsError })
    .min(1, { error: bandsError })
    .refine((bands) => new Set(bands).size === bands.length && !(bands.includes('L2') && bands.includes('L5')), {
      error: bandsError,
    })
    .describe('One band, or L1 with L2 or L5 (and what the other systems send nearby)'),
  antenna: z
    .enum(ANTENNAS)
    .describe('good: survey antenna; patch: small antenna of a consumer module; poor: too small, badly placed'),
  'course-min-speed': quantity('speed', { min: 0, max: 10 }).describe('Below it no course is reported'),
  'simulator-flags': z.boolean().describe('Quality 8 and mode S instead of those of a real module'),
  smoothing: SMOOTHING.describe('What is done to the position before it is reported'),
  'sbas-corrections': z.boolean().describe('Corrections of SBAS satellites are used: quality 2, mode D'),
  heading: z.enum(HEADINGS).describe('Where a heading comes from: nowhere, the course, or a second antenna'),
  'geoid-separation': z
    .enum(SEPARATIONS)
    .describe('zero: without a geoid the altitude is the height above the ellipsoid; blank: only the altitude is told'),
  altitude: z.enum(ALTITUDES).describe('blank: no altitude is reported'),
  'position-when-lost': z.enum(WHEN_LOST).describe('Without a fix: no position, or the last one, as void'),
  'estimated-status': z
    .enum(STATUSES)
    .describe('Status of a position carried on without satellites: A is what modules do, V what the standard says'),
  'assumed-leap-seconds': whole(0, 100, 's').describe(
    'GPS - UTC that the firmware assumes until a message tells; default: right for the date',
  ),
  'firmware-date': day('a day such as 2015-04-01, from 1980-01-06 on', (dayNumber) => {
    return dayNumber >= GPS_EPOCH_DAY;
  }).describe('When the firmware was made: truncated week numbers are from that day on; default: right for the date'),
};

/** What a receiver is without any setting. */
export const PLAIN_RECEIVER: ReceiverSettings = {
  elevationMaskDeg: 5,
  channels: 72,
  systems: null,
  bands: ['L1'],
  antenna: 'patch',
  courseMinSpeedMps: 0.3,
  simulatorFlags: false,
  smoothing: { holdBelowMps: null, lowPassS: 0, deadReckoningS: 0 },
  sbasCorrections: false,
  heading: 'none',
  geoidSeparation: 'model',
  tellsAltitude: true,
  positionWhenLost: 'blank',
  estimatedStatus: 'A',
  assumedLeapSeconds: null,
  firmwareWeek: null,
};

/** A module's receiver, with defaults. */
export const RECEIVER_SCHEMA = strict({
  'elevation-mask': SETTINGS['elevation-mask'].prefault(formatQuantity(PLAIN_RECEIVER.elevationMaskDeg, 'angle')),
  channels: SETTINGS.channels.default(PLAIN_RECEIVER.channels),
  systems: SETTINGS.systems.optional(),
  bands: SETTINGS.bands.default([...PLAIN_RECEIVER.bands]),
  antenna: SETTINGS.antenna.default(PLAIN_RECEIVER.antenna),
  'course-min-speed': SETTINGS['course-min-speed'].prefault(formatQuantity(PLAIN_RECEIVER.courseMinSpeedMps, 'speed')),
  'simulator-flags': SETTINGS['simulator-flags'].default(PLAIN_RECEIVER.simulatorFlags),
  smoothing: SETTINGS.smoothing.prefault({}),
  'sbas-corrections': SETTINGS['sbas-corrections'].default(PLAIN_RECEIVER.sbasCorrections),
  heading: SETTINGS.heading.default(PLAIN_RECEIVER.heading),
  'geoid-separation': SETTINGS['geoid-separation'].default(PLAIN_RECEIVER.geoidSeparation),
  altitude: SETTINGS.altitude.default('msl'),
  'position-when-lost': SETTINGS['position-when-lost'].default(PLAIN_RECEIVER.positionWhenLost),
  'estimated-status': SETTINGS['estimated-status'].default(PLAIN_RECEIVER.estimatedStatus),
  'assumed-leap-seconds': SETTINGS['assumed-leap-seconds'].optional(),
  'firmware-date': SETTINGS['firmware-date'].optional(),
});

/** What a scenario may say in place of the module's profile. */
export const RECEIVER_CHANGES = {
  'elevation-mask': SETTINGS['elevation-mask'].optional(),
  channels: SETTINGS.channels.optional(),
  systems: SETTINGS.systems.optional(),
  bands: SETTINGS.bands.optional(),
  antenna: SETTINGS.antenna.optional(),
  'course-min-speed': SETTINGS['course-min-speed'].optional(),
  'simulator-flags': SETTINGS['simulator-flags'].optional(),
  smoothing: SETTINGS.smoothing.optional(),
  'sbas-corrections': SETTINGS['sbas-corrections'].optional(),
  heading: SETTINGS.heading.optional(),
  'geoid-separation': SETTINGS['geoid-separation'].optional(),
  altitude: SETTINGS.altitude.optional(),
  'position-when-lost': SETTINGS['position-when-lost'].optional(),
  'estimated-status': SETTINGS['estimated-status'].optional(),
  'assumed-leap-seconds': SETTINGS['assumed-leap-seconds'].optional(),
  'firmware-date': SETTINGS['firmware-date'].optional(),
};

type Changes = {
  readonly [Key in keyof typeof RECEIVER_CHANGES]?: z.output<(typeof RECEIVER_CHANGES)[Key]> | undefined;
};

/** Settings as the receiver takes them: those that `changes` names in place of `base`. */
export function receiverSettings(base: ReceiverSettings, changes: Changes): ReceiverSettings {
  const { smoothing, systems } = changes;
  const firmwareDay = changes['firmware-date'];
  return {
    elevationMaskDeg: changes['elevation-mask'] ?? base.elevationMaskDeg,
    channels: changes.channels ?? base.channels,
    systems: systems === undefined ? base.systems : SYSTEM_NAMES.filter((name) => systems.includes(name)),
    bands: changes.bands ?? base.bands,
    antenna: changes.antenna ?? base.antenna,
    courseMinSpeedMps: changes['course-min-speed'] ?? base.courseMinSpeedMps,
    simulatorFlags: changes['simulator-flags'] ?? base.simulatorFlags,
    smoothing:
      smoothing === undefined
        ? base.smoothing
        : {
            holdBelowMps: smoothing['hold-below'] ?? null,
            lowPassS: smoothing['low-pass'],
            deadReckoningS: smoothing['dead-reckoning'],
          },
    sbasCorrections: changes['sbas-corrections'] ?? base.sbasCorrections,
    heading: changes.heading ?? base.heading,
    geoidSeparation: changes['geoid-separation'] ?? base.geoidSeparation,
    tellsAltitude: changes.altitude === undefined ? base.tellsAltitude : changes.altitude === 'msl',
    positionWhenLost: changes['position-when-lost'] ?? base.positionWhenLost,
    estimatedStatus: changes['estimated-status'] ?? base.estimatedStatus,
    assumedLeapSeconds: changes['assumed-leap-seconds'] ?? base.assumedLeapSeconds,
    firmwareWeek: firmwareDay === undefined ? base.firmwareWeek : Math.floor((firmwareDay - GPS_EPOCH_DAY) / 7),
  };
}
