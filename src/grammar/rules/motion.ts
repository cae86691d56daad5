import { number, oneOf } from '../forms.js';
import { field, needed, type Say, type SentenceRule, shape, unit } from '../rule.js';
import { COURSE, MODE_FIELD, SPEED, STATUS_FIELD } from './common.js';

const KMPH_PER_KNOT = 1.852;

const VTG_FIELDS = [
  field('course', COURSE),
  field('mark of the course', oneOf('T')),
  field('magnetic course', COURSE),
  field('mark of the magnetic course', oneOf('M')),
  field('speed in knots', SPEED),
  field('unit of the speed in knots', oneOf('N')),
  field('speed in km/h', SPEED),
  field('unit of the speed in km/h', oneOf('K')),
];

/** VTG: course and speed over ground (NMEA 0183, second hand). */
export const VTG: SentenceRule = {
  formatter: 'VTG',
  shapes: [shape(VTG_FIELDS, '2.1', '2.3'), shape([...VTG_FIELDS, MODE_FIELD], '2.3')],
  pairs: [unit(0), unit(2), unit(4), unit(6)],
  together: saySpeedConflict,
};

/** Both speeds are the same one, each to a unit of its last digit. */
function saySpeedConflict(fields: readonly string[], say: Say): void {
  const [knots, kmph] = [fields[4] as string, fields[6] as string];
  if (knots === '' || kmph === '') return;
  const offKmph = Math.abs(Number(knots) * KMPH_PER_KNOT - Number(kmph));
  if (offKmph <= lastDigit(knots) * KMPH_PER_KNOT + lastDigit(kmph)) return;
  say('field-conflict', null, `${knots} knots with ${kmph} km/h; a knot is 1.852 km/h`);
}

/** What a unit of a number's last digit is worth. */
function lastDigit(text: string): number {
  const point = text.indexOf('.');
  return point < 0 ? 1 : 10 ** (point + 1 - text.length);
}

/** HDT: true heading (NMEA 0183, second hand). */
export const HDT: SentenceRule = {
  formatter: 'HDT',
  shapes: [shape([field('heading', COURSE), field('mark of the heading', oneOf('T'))])],
  pairs: [unit(0)],
};

/** THS: true heading and its mode (NMEA 0183, second hand; version from memory). */
export const THS: SentenceRule = {
  formatter: 'THS',
  shapes: [shape([field('heading', COURSE), needed('mode', oneOf('A', 'E', 'M', 'S', 'V'))], '3.01')],
  pairs: [],
};

/** ROT: rate of turn (NMEA 0183, second hand). */
export const ROT: SentenceRule = {
  formatter: 'ROT',
  shapes: [shape([field('rate of turn', number('deg/min, minus to port', -99_999, 99_999)), STATUS_FIELD])],
  pairs: [],
};

const SIGNED_SPEED = number('a speed, minus astern or to port', -9999, 9999);
const VBW_FIELDS = [
  field('speed along through water', SIGNED_SPEED),
  field('speed across through water', SIGNED_SPEED),
  { ...STATUS_FIELD, name: 'status of the speed through water' },
  field('speed along over ground', SIGNED_SPEED),
  field('speed across over ground', SIGNED_SPEED),
  { ...STATUS_FIELD, name: 'status of the speed over ground' },
];
const VBW_STERN_FIELDS = [
  field('speed of the stern across through water', SIGNED_SPEED),
  { ...STATUS_FIELD, name: "status of the stern's speed through water" },
  field('speed of the stern across over ground', SIGNED_SPEED),
  { ...STATUS_FIELD, name: "status of the stern's speed over ground" },
];

/** VBW: speeds through water and over ground; those of the stern from 3.01 on (from memory). */
export const VBW: SentenceRule = {
  formatter: 'VBW',
  shapes: [shape(VBW_FIELDS, '2.1', '3.01'), shape([...VBW_FIELDS, ...VBW_STERN_FIELDS], '3.01')],
  pairs: [],
};
