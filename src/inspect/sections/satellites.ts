import { listed, number } from '../../base/words.js';
import type { HeardEpoch } from '../../grammar/heard-epoch.js';
import { isOfOneSystem } from '../../grammar/rules/satellites.js';
import type { Item, SatellitesPart, SkySatellite } from '../inspect-report.js';
import type { Section } from '../section.js';
import type { StreamClock, TimedEpoch } from '../stream-clock.js';
import { type SkySystem, systemOfSatellite } from '../system-of-satellite.js';
import { Tally } from '../tally.js';

/** Numbers that are counted apart in a system: no system has as many satellites. */
const MOST_SATELLITES = 100;
/** A position in three dimensions takes four satellites; two more let the receiver check it. */
const LEAST_USED = 4;
const GOOD_USED = 6;
/** Common practice: up to 2 good, beyond 5 poor. */
const GOOD_HDOP = 2;
const POOR_HDOP = 5;
/** Counts are kept to here: more satellites there are not. */
const MOST_COUNTED = 1000;
/** A dilution is kept to here: 99.99 stands for none. */
const LARGEST_DOP = 100;

interface OfSystem {
  readonly talkers: Set<string>;
  readonly listed: Set<string>;
  readonly heard: Set<string>;
  readonly used: Set<string>;
}

/** Satellites listed, heard and used, by system; the last sky. */
export class SatellitesSection implements Section<SatellitesPart> {
  readonly #clock: StreamClock;
  readonly #used = new Tally(1);
  readonly #inView = new Tally(1);
  readonly #hdop = new Tally(0.1);
  readonly #systems = new Map<SkySystem, OfSystem>();
  #lastSky: SatellitesPart['lastSky'] = null;
  #usedIds: HeardEpoch['usedIds'] = [];
  #lastSatellites: HeardEpoch | null = null;

  constructor(clock: StreamClock) {
    this.#clock = clock;
  }

  epoch({ epoch }: TimedEpoch): void {
    if (epoch.isValid === true) {
      if (epoch.used !== null) this.#used.add(Math.min(MOST_COUNTED, differentUsed(epoch, epoch.used)));
      if (epoch.hdop !== null) this.#hdop.add(Math.min(LARGEST_DOP, epoch.hdop));
    }
    if (epoch.inView !== null) this.#inView.add(Math.min(MOST_COUNTED, differentInView(epoch, epoch.inView)));
    for (const { talker, id, cn0DbHz } of epoch.satellites) {
      const system = this.#of(systemOfSatellite(talker, id));
      system.talkers.add(talker);
      note(system.listed, id);
      if (cn0DbHz !== null) note(system.heard, id);
    }
    for (const { talker, system, id } of epoch.usedIds) note(this.#of(systemOfSatellite(talker, id, system)).used, id);
    if (epoch.usedIds.length > 0) this.#usedIds = epoch.usedIds;
    const count = new Set(epoch.satellites.map(({ talker, id }) => `${talker} ${id}`)).size;
    // A list that is cut at the end of a log tells less than the one before.
    if (count > 0 && (this.#lastSatellites === null || count >= (epoch.inView ?? 0))) this.#lastSatellites = epoch;
  }

  #of(name: SkySystem): OfSystem {
    let system = this.#systems.get(name);
    if (system === undefined) {
      system = { talkers: new Set(), listed: new Set(), heard: new Set(), used: new Set() };
      this.#systems.set(name, system);
    }
    return system;
  }

  finish(): { part: SatellitesPart; items: Item[] } {
    if (this.#lastSatellites !== null) this.#lastSky = this.#skyOf(this.#lastSatellites);
    const part: SatellitesPart = {
      used: this.#used.spread(),
      inView: this.#inView.spread(),
      hdop: this.#hdop.spread(),
      systems: [...this.#systems].map(([system, { talkers, listed, heard, used }]) => ({
        system,
        talkers: [...talkers].sort(),
        listed: listed.size,
        heard: heard.size,
        used: used.size,
      })),
      lastSky: this.#lastSky,
    };
    return { part, items: [itemOf(part)] };
  }

  #skyOf(epoch: HeardEpoch): NonNullable<SatellitesPart['lastSky']> {
    const used = new Set(
      this.#usedIds.map(({ talker, system, id }) => `${systemOfSatellite(talker, id, system)} ${id}`),
    );
    const found = new Map<string, SkySatellite>();
    for (const { talker, id, elevationDeg, azimuthDeg, cn0DbHz } of epoch.satellites) {
      const system = systemOfSatellite(talker, id);
      const key = `${system} ${id}`;
      const known = found.get(key);
      const strongest = Math.max(known?.cn0DbHz ?? -1, cn0DbHz ?? -1);
      found.set(key, {
        system,
        talker,
        id,
        elevationDeg: elevationDeg ?? known?.elevationDeg ?? null,
        azimuthDeg: azimuthDeg ?? known?.azimuthDeg ?? null,
        cn0DbHz: strongest < 0 ? null : strongest,
        isUsed: used.has(key),
      });
    }
    const at = epoch.timeOfDayMs === null ? null : this.#clock.occurrence(epoch.sentences[0]!.piece, epoch).at;
    return { at, satellites: [...found.values()] };
  }
}

/** Satellites used, without those that a GSA names once more. @param told by GGA, GNS or GSA */
function differentUsed({ sentences, usedIds }: HeardEpoch, told: number): number {
  let repeated = 0;
  for (const { decoded, sentence } of sentences) {
    if (decoded?.of === 'GSA' && isOfOneSystem(sentence.talker, decoded.system))
      repeated += decoded.ids.length - new Set(decoded.ids).size;
  }
  // Where GSA has no place for all, it does not tell how many there are.
  return repeated > 0 && usedIds.length >= told ? Math.min(told, usedIds.length - repeated) : told;
}

/** Satellites in view, without those that are listed once more at the same place. @param told by GSV */
function differentInView({ satellites }: HeardEpoch, told: number): number {
  const keys = satellites.map((each) => {
    return `${each.talker} ${each.signal} ${each.id} ${each.elevationDeg} ${each.azimuthDeg}`;
  });
  return told - Math.min(told, keys.length - new Set(keys).size);
}

function note(set: Set<string>, id: string): void {
  if (set.size < MOST_SATELLITES) set.add(id);
}

function itemOf({ used, inView, hdop, systems }: SatellitesPart): Item {
  const key = 'satellites';
  const title = 'Satellites';
  const all = listed(systems.map(({ system, listed: count, used: of }) => `${system} ${of} of ${count}`));
  const view = inView === null ? '' : `, ${inView.median} in view`;
  if (used === null) {
    const reason = systems.length === 0 ? 'no sentence tells' : `none is used${view} (${all})`;
    return { key, title, verdict: systems.length === 0 ? 'untested' : 'remark', reason };
  }
  const dilution = hdop === null ? '' : `, HDOP ${number(hdop.median, 1)} (up to ${number(hdop.greatest, 1)})`;
  const range = `${used.median} used (${used.least} to ${used.greatest})`;
  const reason = `${range}${view}${dilution}, median${all === '' ? '' : `; used of listed: ${all}`}`;
  const isPoor = used.median < LEAST_USED || (hdop !== null && hdop.median > POOR_HDOP);
  const isGood = used.median >= GOOD_USED && (hdop === null || hdop.median <= GOOD_HDOP);
  return { key, title, verdict: isPoor ? 'bad' : isGood ? 'good' : 'remark', reason };
}
