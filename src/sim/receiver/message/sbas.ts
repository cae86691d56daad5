import { satelliteId } from '../../sky/system.js';
import { type MessagePlan, type MessageUnit, messagePlan, part, sequence } from './plan.js';

/**
 * Which satellites a provider sends the almanacs of, by PRN - 100: WAAS, EGNOS, GAGAN, MSAS, SDCM, BDSBAS, KASS and
 * the African ones (from memory).
 */
const PROVIDERS: ReadonlyArray<readonly number[]> = [
  [31, 33, 35],
  [21, 23, 36],
  [27, 28, 32],
  [37],
  [25, 40, 41],
  [30, 43, 44],
  [34],
  [47, 48],
];

/** How many messages of a type a set takes, and after how many seconds at most it is sent again. */
interface Series {
  readonly type: number;
  readonly messages: number;
  readonly everyS: number;
}

/**
 * Update intervals at most, s: mask 120, fast corrections 60 (6 where integrity is meant for approaches, as sent),
 * GEO navigation 120, long-term corrections 120, degradation 120, grid mask 300, grid delays 300, time 300, GEO
 * almanacs 300 (RTCA DO-229D, table A-25; from memory). Systems send most of it more often than they must: here all
 * within 120 s, time and almanacs within 240 s. Numbers of messages: 39 satellites in the mask, 15 grid points a
 * message.
 */
const SERIES: readonly Series[] = [
  { type: 1, messages: 1, everyS: 120 },
  { type: 9, messages: 1, everyS: 120 },
  { type: 7, messages: 1, everyS: 120 },
  { type: 10, messages: 1, everyS: 120 },
  { type: 25, messages: 8, everyS: 120 },
  { type: 18, messages: 4, everyS: 120 },
  { type: 26, messages: 12, everyS: 120 },
  { type: 12, messages: 1, everyS: 240 },
  { type: 17, messages: 1, everyS: 240 },
];

const CYCLE_S = 240;
const FAST_TYPES = [2, 3, 4];
/** Fast corrections take every second message: three in six seconds. */
const FAST_EVERY = 2;

/**
 * Messages of the other types, spread evenly over the cycle's slots that fast corrections leave: [type, number in its
 * set].
 */
function slowMessages(): ReadonlyArray<readonly [type: number, number: number] | null> {
  const slots: Array<readonly [number, number] | null> = sequence(CYCLE_S / FAST_EVERY, () => null);
  const rounds = ({ everyS }: Series) => CYCLE_S / everyS;
  for (const series of SERIES) {
    const total = series.messages * rounds(series);
    for (let i = 0; i < total; i++) {
      let slot = Math.floor((i * slots.length) / total);
      while (slots[slot] !== null) slot = (slot + 1) % slots.length;
      slots[slot] = [series.type, i % series.messages];
    }
  }
  return slots;
}

/** Which part of a set of corrections a message is; 0: none. */
function correctionPart(type: number, number: number): number {
  if (type >= 1 && type <= 4) return part(type);
  if (type === 25) return part(5 + number);
  if (type === 18) return part(13 + number);
  return type === 26 ? part(17 + number) : 0;
}

function message(type: number, number: number, almanac: readonly string[]): MessageUnit {
  const corrections = correctionPart(type, number);
  if (corrections !== 0) return { corrections };
  if (type === 9) return { ephemeris: 1 };
  // Type 12 bears GPS time, week and leap seconds (DO-229D, A.4.4.15; from memory).
  if (type === 12) return { timeOfWeek: true, date: 1, leapSeconds: true };
  return type === 17 ? { almanac } : {};
}

function plan(numbers: readonly number[]): MessagePlan {
  const slow = slowMessages();
  const almanac = numbers.map((number) => satelliteId('sbas', number));
  return messagePlan({
    title: 'SBAS',
    unitS: 1,
    shiftS: 0,
    cycle: sequence(CYCLE_S, (second) => {
      const at = Math.floor(second / FAST_EVERY);
      if (second % FAST_EVERY === 0) return message(FAST_TYPES[at % FAST_TYPES.length] as number, 0, almanac);
      const other = slow[at];
      return other == null ? {} : message(...other, almanac);
    }),
    // GEO navigation is sent anew every 2 minutes, and serves 6 outside approaches (table A-25, from memory).
    dataSetS: 120,
    ephemerisLifeS: 360,
    correctionsLifeS: 360,
    // 250 bit/s at 5 dB a bit: 29, and a little more for the loop.
    decodeDbHz: 30,
  });
}

const PLANS = PROVIDERS.map((numbers) => ({ numbers, plan: plan(numbers) }));

/** SBAS messages on L1, one a second. */
export function sbasMessages(number: number): MessagePlan {
  return PLANS.find(({ numbers }) => numbers.includes(number))?.plan ?? plan([number]);
}
