import { number, oneOf, SATELLITE, SIGNAL_ID } from '../forms.js';
import { field, needed, type SentenceRule, shape } from '../rule.js';
import { COURSE, METRES, SYSTEM_FIELD, TIME_FIELD } from './common.js';

const RESIDUAL_PLACES = 12;
const SIGNAL_FIELDS = [SYSTEM_FIELD, field('signal id', SIGNAL_ID)];

/** GST: standard deviations of the errors (NMEA 0183, second hand). */
export const GST: SentenceRule = {
  formatter: 'GST',
  shapes: [
    shape(
      [
        TIME_FIELD,
        field('deviation of the ranges', METRES),
        field('semi-major axis of the ellipse', METRES),
        field('semi-minor axis of the ellipse', METRES),
        field('orientation of the ellipse', COURSE),
        field('deviation of the latitude', METRES),
        field('deviation of the longitude', METRES),
        field('deviation of the altitude', METRES),
      ],
      '2.3',
    ),
  ],
  pairs: [],
};

const SIGNED_METRES = number('metres', -1e6, 1e6);
const GBS_FIELDS = [
  TIME_FIELD,
  field('expected error of the latitude', METRES),
  field('expected error of the longitude', METRES),
  field('expected error of the altitude', METRES),
  field('number of the satellite most likely at fault', SATELLITE),
  field('probability of a missed fault', number('0 to 1', 0, 1)),
  field('estimated bias', SIGNED_METRES),
  field('deviation of the bias', METRES),
];

/** GBS: satellite fault detection (NMEA 0183, second hand). */
export const GBS: SentenceRule = {
  formatter: 'GBS',
  shapes: [shape(GBS_FIELDS, '2.3', '4.10'), shape([...GBS_FIELDS, ...SIGNAL_FIELDS], '4.10')],
  pairs: [],
};

const RESIDUAL = number('-999 to 999 m', -999, 999);
const GRS_FIELDS = [
  TIME_FIELD,
  needed('mode', oneOf('0', '1')),
  ...Array.from({ length: RESIDUAL_PLACES }, (_, i) => field(`residual ${i + 1}`, RESIDUAL)),
];

/** GRS: residuals of the ranges (NMEA 0183, second hand). */
export const GRS: SentenceRule = {
  formatter: 'GRS',
  shapes: [shape(GRS_FIELDS, '2.3', '4.10'), shape([...GRS_FIELDS, ...SIGNAL_FIELDS], '4.10')],
  pairs: [],
};
