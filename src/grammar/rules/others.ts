import { digits, type Form, number, oneOf, text } from '../forms.js';
import { direction, field, needed, type SentenceRule, shape } from '../rule.js';
import { isDay, wholeAt } from '../values.js';
import { TIME_FIELD } from './common.js';

/** Two digits, a minus before them for zones west of Greenwich. */
function zone(most: number): Form {
  const allowed = `-${most} to ${most}, two digits`;
  return {
    allowed,
    faultOf(found) {
      const size = found.startsWith('-') ? found.slice(1) : found;
      const value = wholeAt(size, 0, size.length);
      if (value < 0 || size.length > 2) return 'field-form';
      if (value > most) return 'field-range';
      return size.length < 2 ? 'leading-zeros' : null;
    },
  };
}

/** ZDA: time, date and local zone (NMEA 0183, second hand). */
export const ZDA: SentenceRule = {
  formatter: 'ZDA',
  shapes: [
    shape([
      TIME_FIELD,
      field('day', digits(2, 1, 31)),
      field('month', digits(2, 1, 12)),
      field('year', digits(4, 1900, 9999)),
      field('hours of the zone', zone(13)),
      field('minutes of the zone', zone(59)),
    ]),
  ],
  pairs: [],
  together([, day, month, year], say) {
    const blank = [day, month, year].filter((part) => part === '').length;
    if (blank > 0 && blank < 3) {
      say('field-conflict', null, 'day, month and year partly blank; all or none are allowed');
    } else if (blank === 0 && !isDay(Number(year), Number(month), Number(day))) {
      say('date', 1, `${day} of month ${month} of ${year}; a day that exists is allowed`);
    }
  },
};

const OFFSET = number('minutes of arc, 0 or more', 0, 5400);

/** DTM: datum of the positions (NMEA 0183, second hand; the datums from memory). */
export const DTM: SentenceRule = {
  formatter: 'DTM',
  shapes: [
    shape([
      field('local datum', text(6)),
      field('subdivision of the datum', text(3)),
      field('offset of the latitude', OFFSET),
      field('direction of the latitude offset', oneOf('N', 'S')),
      field('offset of the longitude', OFFSET),
      field('direction of the longitude offset', oneOf('E', 'W')),
      field('offset of the altitude', number('metres', -1e5, 1e5)),
      field('reference datum', oneOf('W84', 'W72', 'S85', 'P90')),
    ]),
  ],
  pairs: [direction(2), direction(4)],
};

const TXT_NUMBER = digits(2, 1, 99);

/** TXT: text for a reader (NMEA 0183, second hand). */
export const TXT: SentenceRule = {
  formatter: 'TXT',
  shapes: [
    shape([
      needed('number of sentences', TXT_NUMBER),
      needed('number of this sentence', TXT_NUMBER),
      needed('text identifier', digits(2, 0, 99)),
      field('text', text(61)),
    ]),
  ],
  pairs: [],
  together([total, number], say) {
    if (Number(number) > Number(total)) {
      say('field-conflict', 1, `${number} of ${total}; 01 to ${total} is allowed`);
    }
  },
};
