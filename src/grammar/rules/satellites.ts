import { CN0, digits, ELEVATION, oneOf, SATELLITE, SIGNAL_ID } from '../forms.js';
import { type FieldRule, field, needed, type Say, type SentenceRule, shape } from '../rule.js';
import { wholeAt, withoutZeros } from '../values.js';
import { DOP, SYSTEM_FIELD } from './common.js';

/** Fields of a GSA before its satellites. */
const GSA_HEAD = 2;
/** Places of satellites in a GSA, and satellites in a GSV. */
const GSA_PLACES = 12;
const GSV_PLACES = 4;
const FIELDS_PER_SATELLITE = 4;
/** Fields of a GSV before its satellites. */
const GSV_HEAD = 3;
/** GSV counts to here, in two digits. */
const MOST_IN_VIEW = 99;

/** The system id of a GSA, from 4.10 on. */
const GSA_SYSTEM = 17;

/**
 * Whether numbers under a talker are of one system, so that each stands for one satellite: under GN several may have
 * the same, where no system id tells them apart.
 * @param systemId as it stands; undefined, null or empty: none
 */
export function isOfOneSystem(talker: string, systemId: string | null = null): boolean {
  return talker !== 'GN' || (systemId !== null && systemId !== '');
}

const GSA_FIELDS = [
  needed('selection of 2D or 3D', oneOf('A', 'M')),
  needed('fix', oneOf('1', '2', '3')),
  ...Array.from({ length: GSA_PLACES }, (_, i) => field(`satellite ${i + 1}`, SATELLITE)),
  field('PDOP', DOP),
  field('HDOP', DOP),
  field('VDOP', DOP),
];

/** GSA: satellites used and dilutions of precision (NMEA 0183, second hand). */
export const GSA: SentenceRule = {
  formatter: 'GSA',
  shapes: [shape(GSA_FIELDS, '2.1', '4.10'), shape([...GSA_FIELDS, SYSTEM_FIELD], '4.10')],
  pairs: [],
  together(fields, say, talker) {
    if (!isOfOneSystem(talker, fields[GSA_SYSTEM])) return;
    const ids = fields.slice(GSA_HEAD, GSA_HEAD + GSA_PLACES).map((id) => withoutZeros(id));
    for (const [place, id] of ids.entries()) {
      if (id === '' || ids.indexOf(id) === place) continue;
      say(
        'satellite-twice',
        GSA_HEAD + place,
        `${fields[GSA_HEAD + place]} once more; each satellite used stands once`,
      );
    }
  },
};

const GSV_HEAD_FIELDS = [
  needed('number of sentences', digits(1, 1, 9)),
  needed('number of this sentence', digits(1, 1, 9)),
  needed('satellites in view', digits(2, 0, MOST_IN_VIEW)),
];
const SIGNAL_FIELD = field('signal id', SIGNAL_ID);

function gsvFields(satellites: number): FieldRule[] {
  const fields: FieldRule[] = [...GSV_HEAD_FIELDS];
  for (let i = 1; i <= satellites; i++) {
    fields.push(
      field(`number of satellite ${i}`, SATELLITE),
      field(`elevation of satellite ${i}`, ELEVATION),
      field(`azimuth of satellite ${i}`, digits(3, 0, 359)),
      field(`C/N0 of satellite ${i}`, CN0),
    );
  }
  return fields;
}

const GSV_SIZES = Array.from({ length: GSV_PLACES + 1 }, (_, satellites) => satellites);

/** GSV: satellites in view (NMEA 0183, second hand). */
export const GSV: SentenceRule = {
  formatter: 'GSV',
  shapes: [
    ...GSV_SIZES.map((satellites) => shape(gsvFields(satellites), '2.1', '4.10')),
    ...GSV_SIZES.map((satellites) => shape([...gsvFields(satellites), SIGNAL_FIELD], '4.10')),
  ],
  pairs: [],
  together(fields, say) {
    sayCountConflict(fields, say);
    for (let place = GSV_HEAD; place + FIELDS_PER_SATELLITE <= fields.length; place += FIELDS_PER_SATELLITE) {
      if (fields[place] !== '' || (fields[place + 1] === '' && fields[place + 2] === '' && fields[place + 3] === '')) {
        continue;
      }
      say('field-missing', place, 'blank beside an elevation, azimuth or C/N0; a number is allowed there');
    }
  },
};

function sayCountConflict(fields: readonly string[], say: Say): void {
  const [total, number, inView] = fields as [string, string, string];
  const [count, place, satellites] = [total, number, inView].map((text) => wholeAt(text, 0, text.length)) as [
    number,
    number,
    number,
  ];
  if (place > count) {
    say('gsv-count', 1, `${number} of ${total}; 1 to ${total} is allowed`);
    return;
  }
  const needs = Math.max(1, Math.ceil(satellites / GSV_PLACES));
  // What stands beyond 99 cannot be counted.
  if (count < needs && satellites < MOST_IN_VIEW) {
    say('gsv-count', 0, `${total} for ${inView} satellites in view; ${needs} sentences are allowed`);
  }
  if (count > needs) say('gsv-more', 0, `${total} for ${inView} satellites in view; ${needs} would do`);
}
