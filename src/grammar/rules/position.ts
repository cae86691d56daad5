import { DATE, digits, number, oneOf } from '../forms.js';
import { direction, field, needed, type SentenceRule, shape, unit } from '../rule.js';
import {
  ALTITUDE,
  COURSE,
  DOP,
  MODE_FIELD,
  MODES_FIELD,
  NAV_STATUS_FIELD,
  POSITION_FIELDS,
  SEPARATION,
  SPEED,
  STATUS_FIELD,
  sayHalfPosition,
  sayStatusConflict,
  TIME_FIELD,
} from './common.js';

/** Of versions before GNS twelve at most; modules count on. */
const USED_FIELD = field('satellites used', digits(2, 0, 99));
const CORRECTION_FIELDS = [
  field('age of the corrections', number('0 or more, s', 0, 99_999)),
  field('reference station', digits(4, 0, 4095)),
];

/** GGA: fix data (NMEA 0183, second hand). */
export const GGA: SentenceRule = {
  formatter: 'GGA',
  shapes: [
    shape([
      TIME_FIELD,
      ...POSITION_FIELDS,
      needed('quality', oneOf('0', '1', '2', '3', '4', '5', '6', '7', '8')),
      USED_FIELD,
      field('HDOP', DOP),
      field('altitude', ALTITUDE),
      field('unit of the altitude', oneOf('M')),
      field('geoid separation', SEPARATION),
      field('unit of the geoid separation', oneOf('M')),
      ...CORRECTION_FIELDS,
    ]),
  ],
  pairs: [direction(1), direction(3), unit(8), unit(10)],
  together(fields, say) {
    sayHalfPosition(fields, 1, say);
    if (fields[5] !== '0' && fields[1] === '') {
      say('field-conflict', null, `quality ${fields[5]} without a position; 0 is allowed there`);
    }
  },
};

/** GNS: fix data of several systems (NMEA 0183, second hand). */
const GNS_FIELDS = [
  TIME_FIELD,
  ...POSITION_FIELDS,
  MODES_FIELD,
  USED_FIELD,
  field('HDOP', DOP),
  field('altitude', ALTITUDE),
  field('geoid separation', SEPARATION),
  ...CORRECTION_FIELDS,
];
export const GNS: SentenceRule = {
  formatter: 'GNS',
  shapes: [shape(GNS_FIELDS, '2.3', '4.10'), shape([...GNS_FIELDS, NAV_STATUS_FIELD], '4.10')],
  pairs: [direction(1), direction(3)],
  together(fields, say) {
    sayHalfPosition(fields, 1, say);
    const modes = fields[5] as string;
    if (/[^N]/.test(modes) && fields[1] === '') {
      say('field-conflict', null, `modes ${modes} without a position; N is allowed there`);
    }
  },
};

const RMC_FIELDS = [
  TIME_FIELD,
  STATUS_FIELD,
  ...POSITION_FIELDS,
  field('speed', SPEED),
  field('course', COURSE),
  field('date', DATE),
  field('magnetic variation', number('0 to 180 deg', 0, 180)),
  field('direction of the magnetic variation', oneOf('E', 'W')),
];

/** RMC: recommended minimum data (NMEA 0183, second hand). */
export const RMC: SentenceRule = {
  formatter: 'RMC',
  shapes: [
    shape(RMC_FIELDS, '2.1', '2.3'),
    shape([...RMC_FIELDS, MODE_FIELD], '2.3', '4.10'),
    shape([...RMC_FIELDS, MODE_FIELD, NAV_STATUS_FIELD], '4.10'),
  ],
  pairs: [direction(2), direction(4), direction(9)],
  together(fields, say) {
    sayHalfPosition(fields, 2, say);
    sayStatusConflict(fields, { status: 1, latitude: 2, mode: 11 }, say);
  },
};

const GLL_FIELDS = [...POSITION_FIELDS, TIME_FIELD, STATUS_FIELD];

/** GLL: geographic position (NMEA 0183, second hand). */
export const GLL: SentenceRule = {
  formatter: 'GLL',
  shapes: [shape(GLL_FIELDS, '2.1', '2.3'), shape([...GLL_FIELDS, MODE_FIELD], '2.3')],
  pairs: [direction(0), direction(2)],
  together(fields, say) {
    sayHalfPosition(fields, 0, say);
    sayStatusConflict(fields, { status: 5, latitude: 0, mode: 6 }, say);
  },
};
