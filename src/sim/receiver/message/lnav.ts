import { satelliteId } from '../../sky/system.js';
import { type MessagePlan, type MessageUnit, messagePlan, part, sequence } from './plan.js';

/** Subframes of 6 s, five to a frame, 25 frames (pages) to the almanac (IS-GPS-200N, 20.3.2, figure 20-1). */
const SUBFRAME_S = 6;
const SUBFRAMES_PER_FRAME = 5;
const PAGES = 25;
/** Page of subframe 4 with GPS - UTC, beside the ionosphere's coefficients (IS-GPS-200N, table 20-V). */
const UTC_PAGE = 18;

/** Pages of subframe 4 that bear an almanac, of satellites 25 to 32 (IS-GPS-200N, table 20-V). */
const PAGES_OF_25_TO_32 = [2, 3, 4, 5, 7, 8, 9, 10];

function lnavCycle(almanacOf: (subframe: 4 | 5, page: number) => string | null): MessageUnit[] {
  return sequence(SUBFRAMES_PER_FRAME * PAGES, (place): MessageUnit => {
    const subframe = (place % SUBFRAMES_PER_FRAME) + 1;
    const page = Math.floor(place / SUBFRAMES_PER_FRAME) + 1;
    // The handover word of every subframe tells the time of week (20.3.3.2).
    if (subframe <= 3) {
      const ephemeris = part(subframe);
      return subframe === 1 ? { timeOfWeek: true, date: 1, ephemeris } : { timeOfWeek: true, ephemeris };
    }
    if (subframe === 4 && page === UTC_PAGE) return { timeOfWeek: true, leapSeconds: true };
    const id = almanacOf(subframe as 4 | 5, page);
    return id === null ? { timeOfWeek: true } : { timeOfWeek: true, almanac: [id] };
  });
}

/** GPS LNAV on L1 C/A. */
export const GPS_LNAV: MessagePlan = messagePlan({
  title: 'GPS LNAV',
  unitS: SUBFRAME_S,
  shiftS: 0,
  cycle: lnavCycle((subframe, page) => {
    if (subframe === 5) return page < PAGES ? satelliteId('gps', page) : null;
    const place = PAGES_OF_25_TO_32.indexOf(page);
    return place < 0 ? null : satelliteId('gps', 25 + place);
  }),
  // Transmission interval 2 h, curve fit interval 4 h (IS-GPS-200N, 20.3.4.4).
  dataSetS: 7200,
  ephemerisLifeS: 4 * 3600,
  // 50 bit/s at 10 dB a bit; common practice is 26 to 27 dB-Hz, from memory.
  decodeDbHz: 27,
});

/** QZSS satellites that the almanac has room for (IS-QZSS-PNT, from memory). */
const QZSS_SATELLITES = 10;

/**
 * QZSS LNAV on L1 C/A: GPS's subframes (IS-QZSS-PNT-004, 4.1; from memory). The order of the pages of subframes 4 and
 * 5 is not fixed there; here they go round as GPS's do, the almanac in subframe 5.
 */
export const QZSS_LNAV: MessagePlan = messagePlan({
  title: 'QZSS LNAV',
  unitS: SUBFRAME_S,
  shiftS: 0,
  cycle: lnavCycle((subframe, page) => (subframe === 5 && page <= QZSS_SATELLITES ? satelliteId('qzss', page) : null)),
  // Renewed every hour, fit interval 2 h (same source, from memory).
  dataSetS: 3600,
  ephemerisLifeS: 2 * 3600,
  decodeDbHz: 27,
});
