import type { Satellite } from '../../sky/orbit.js';
import { BEIDOU_D1, BEIDOU_D2 } from './beidou.js';
import { GALILEO_INAV } from './galileo-inav.js';
import { GLONASS_STRINGS } from './glonass-strings.js';
import { GPS_LNAV, QZSS_LNAV } from './lnav.js';
import { NAVIC_SPS } from './navic.js';
import type { MessagePlan } from './plan.js';
import { sbasMessages } from './sbas.js';

/** The message that a satellite sends on its first signal. */
export function messagePlanOf({
  system,
  number,
  orbitClass,
}: Pick<Satellite, 'system' | 'number' | 'orbitClass'>): MessagePlan {
  switch (system) {
    case 'gps':
      return GPS_LNAV;
    case 'qzss':
      return QZSS_LNAV;
    case 'galileo':
      return GALILEO_INAV;
    case 'glonass':
      return GLONASS_STRINGS;
    case 'beidou':
      return orbitClass === 'geo' ? BEIDOU_D2 : BEIDOU_D1;
    case 'navic':
      return NAVIC_SPS;
    case 'sbas':
      return sbasMessages(number);
  }
}
