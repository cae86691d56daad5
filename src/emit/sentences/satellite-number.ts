import type { SentenceStyle } from './style.js';

/** SBAS satellites are named PRN - 100, and numbered PRN - 87 from 33 to 64: those beyond keep their PRN. */
const SBAS_TO_33 = 13;
const LAST_FROM_33 = 51;
/** First GLONASS number less one. */
const GLONASS_TO_65 = 64;
/** QZSS satellites are named PRN - 192. */
const QZSS_TO_PRN = 192;

/**
 * A satellite's number in sentences, two digits or more.
 * Source: NMEA 0183 4.11, satellite ids (from memory); the other beginnings are common practice.
 * @param id as RINEX names it
 */
export function satelliteNumber(id: string, style: SentenceStyle): string {
  const own = Number(id.slice(1));
  const number = own + numberOffset(id.charAt(0), own, style);
  return number < 10 ? `0${number}` : String(number);
}

function numberOffset(letter: string, own: number, style: SentenceStyle): number {
  switch (letter) {
    case 'R':
      return style.glonassIds === 'local' ? 0 : GLONASS_TO_65;
    case 'E':
      return style.galileoIds === 'local' ? 0 : 300;
    case 'C':
      return style.beidouIds === 'local' ? 0 : 200;
    case 'J':
      return style.qzssIds === 'local' ? 0 : QZSS_TO_PRN;
    case 'S':
      return style.sbasIds === '33+' && own <= LAST_FROM_33 ? SBAS_TO_33 : 100;
    default:
      return 0;
  }
}
