import { listed } from '../../base/words.js';
import type { Heard } from '../../grammar/heard-epoch.js';
import type { Item } from '../inspect-report.js';
import type { Section } from '../section.js';

/** A trait of a version, and how it is told. */
const TRAITS = {
  noMode: 'RMC, VTG or GLL without a mode field (before 2.3)',
  mode: 'mode field in RMC, VTG or GLL (from 2.3 on)',
  preciseModes: 'modes P, R or F (from 4.00 on)',
  navStatus: 'navigational status in RMC or GNS (from 4.10 on)',
  gsaSystem: 'system id in GSA (from 4.10 on)',
  gsvSignal: 'signal id in GSV (from 4.10 on)',
  newTalkers: 'talker GQ or GI, or system id 5 or 6 (from 4.11 on)',
} as const;

type Trait = keyof typeof TRAITS;

/** Fields behind the address without, with mode, and with the navigational status. */
const WITHOUT_MODE: Readonly<Record<string, number>> = { RMC: 11, VTG: 8, GLL: 6 };

/** A trait in fewer sentences than this share of the most frequent one's is damage, not style. */
const LEAST_SHARE = 0.01;

/**
 * Which version of NMEA 0183 the sentences follow, by their numbers of fields and their codes. Versions that write the
 * same are told as a range. Source: NMEA 0183 field order by version (second hand).
 */
export class VersionSection implements Section<{ version: string | null; versionEvidence: string[] }> {
  readonly #seen = new Map<Trait, number>();

  heard({ sentence }: Heard): void {
    if (sentence.kind !== 'standard' || sentence.checksum !== 'good') return;
    const { formatter, fields, talker } = sentence;
    const count = fields.length;
    const plain = WITHOUT_MODE[formatter];
    if (plain !== undefined) {
      if (count === plain) this.#note('noMode');
      else if (count > plain) this.#note('mode');
      if (/^[PRF]$/.test(fields[plain] ?? '')) this.#note('preciseModes');
      if (formatter === 'RMC' && count === 13) this.#note('navStatus');
    } else if (formatter === 'GNS' && count === 13) this.#note('navStatus');
    else if (formatter === 'GSA' && count === 18) {
      this.#note('gsaSystem');
      if (/^[56]$/.test(fields[17] as string)) this.#note('newTalkers');
    } else if (formatter === 'GSV' && count % 4 === 0) this.#note('gsvSignal');
    if (talker === 'GQ' || talker === 'GI') this.#note('newTalkers');
  }

  #note(trait: Trait): void {
    this.#seen.set(trait, (this.#seen.get(trait) ?? 0) + 1);
  }

  finish(): { part: { version: string | null; versionEvidence: string[] }; items: Item[] } {
    const most = Math.max(0, ...this.#seen.values());
    const has = (trait: Trait) => (this.#seen.get(trait) ?? 0) > LEAST_SHARE * most;
    const version = versionOf(has);
    const traits = (Object.keys(TRAITS) as Trait[]).filter(has);
    const versionEvidence = traits.map((trait) => TRAITS[trait]);
    const isMixed = has('noMode') && (has('mode') || has('navStatus'));
    const evidence = listed(versionEvidence);
    const item: Item = {
      key: 'version',
      title: 'Version',
      ...(version === null
        ? { verdict: 'untested', reason: 'no sentence tells' }
        : isMixed
          ? { verdict: 'remark', reason: `${version}, but sentences differ: ${evidence}` }
          : { verdict: 'good', reason: `NMEA 0183 ${version}: ${evidence}` }),
    };
    return { part: { version, versionEvidence }, items: [item] };
  }
}

function versionOf(has: (trait: Trait) => boolean): string | null {
  if (has('newTalkers') && (has('navStatus') || has('gsaSystem') || has('gsvSignal'))) return '4.11';
  if (has('navStatus') || has('gsaSystem') || has('gsvSignal')) return '4.10';
  if (has('preciseModes')) return '4.00';
  if (has('mode')) return '2.3 to 4.00';
  return has('noMode') ? '2.1' : null;
}
