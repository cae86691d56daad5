import { sentBytes } from '../../run/helper.js';
import { byEpoch, checksumOf, comesInOrder, fieldsOf, ggaOf, rmcOf, type Seen } from './seen.js';

/** GSV's numbers of satellites, and its C/N0, with one field behind them or none. */
function satellitesOf(fields: readonly string[]): { id: string; elevation: string; cn0: string }[] {
  const list: { id: string; elevation: string; cn0: string }[] = [];
  for (let at = 4; at + 3 < fields.length; at += 4) {
    list.push({ id: fields[at] as string, elevation: fields[at + 1] as string, cn0: fields[at + 3] as string });
  }
  return list;
}

const fieldsOfText = (text: string) => text.slice(1, text.indexOf('*')).split(',');
const countFields = (seen: Seen, name: string) => new Set(fieldsOf(seen, name).map((fields) => fields.length - 1));

/** The sentences of a kind of each epoch, as fields. */
function ofEpochs(seen: Seen, name: string): string[][][] {
  return byEpoch(seen).map((list) =>
    list.filter(({ text }) => text.slice(3, 6) === name).map(({ text }) => fieldsOfText(text)),
  );
}

/** What shows that a host really meets each failure of how sentences are written. */
export const SHOWN_OF_SENTENCES: Readonly<Record<string, (seen: Seen) => boolean>> = {
  'gn-talker': (seen) =>
    [...rmcOf(seen)].every(({ id }) => id === 'GNRMC') && fieldsOf(seen, 'GGA').every(([id]) => id === 'GNGGA'),
  'nav-status-field': (seen) => fieldsOf(seen, 'RMC').every((fields) => fields.length === 14 && fields[13] === 'V'),
  'blank-course': (seen) =>
    rmcOf(seen).some(({ status, knots, course }) => status === 'A' && Number(knots) > 5 && course === ''),
  'old-version-short': (seen) =>
    [...countFields(seen, 'RMC')].join() === '11' && [...countFields(seen, 'VTG')].join() === '8',
  'blank-vtg-variation': (seen) => {
    const isBlank = (fields: readonly string[]) => [1, 3, 5, 7].every((place) => fields[place] === '');
    return (
      fieldsOf(seen, 'VTG').some(isBlank) &&
      rmcOf(seen).some(({ status, variation }) => status === 'A' && variation === '')
    );
  },
  'decimal-count': (seen) => rmcOf(seen).some(({ lat, lon }) => /^\d{4}$/.test(lat) && /^\d{5}$/.test(lon)),
  'no-leading-zeros': (seen) => rmcOf(seen).some(({ lon }) => /^8\d\d\.\d\d$/.test(lon)),
  'sixty-minutes': (seen) => rmcOf(seen).some(({ time }) => /^\d{4}60$/.test(time)),
  'zero-degree-sign': (seen) => {
    const isNear = ({ lat, lon }: { lat: string; lon: string }) => lat.startsWith('00') && lon.startsWith('000');
    return comesInOrder(
      rmcOf(seen),
      (rmc) => isNear(rmc) && rmc.ns === 'S' && rmc.ew === 'W',
      (rmc) => isNear(rmc) && rmc.ns === 'N' && rmc.ew === 'E',
    );
  },
  dateline: (seen) =>
    comesInOrder(
      rmcOf(seen),
      ({ lon, ew }) => lon.startsWith('179') && ew === 'E',
      ({ lon, ew }) => lon.startsWith('179') && ew === 'W',
    ),
  'geoid-variants': (seen) => {
    const trueM = seen.epochs.at(-1)?.truth.altitudeMslM as number;
    return ggaOf(seen).some(
      ({ separation, altitude }) => separation === '0.0' && Math.abs(Number(altitude) - trueM) > 30,
    );
  },
  'altitude-blank': (seen) => ggaOf(seen).some(({ quality, altitude }) => quality === '1' && altitude === ''),
  'over-82': ({ read }) => read.some(({ raw }) => raw.length + 2 > 82),
  'bad-checksum': ({ sent }) =>
    sent.some((line) => {
      const text = sentBytes(line).toString('latin1');
      const body = line.text.slice(0, line.text.indexOf('*'));
      return text.startsWith(`${body}*`) && text.length === line.text.length + 2 && !text.startsWith(line.text);
    }),
  'checksum-lowercase': ({ text }) =>
    [...text.matchAll(/\$([^$*\r\n]+)\*(\S{2})\r\n/g)].some(
      ([, body, hex = '']) => /[a-f]/.test(hex) && hex.toUpperCase() === checksumOf(body as string),
    ),
  'checksum-absent': ({ text }) => /\$GPRMC,[^*$\r\n]+\r\n/.test(text),
  'damaged-but-checks': ({ sent }) =>
    sent.some((line) => {
      const text = sentBytes(line).toString('latin1').trimEnd();
      const [body, hex] = text.slice(1).split('*') as [string, string];
      return (
        text.startsWith('$GPGGA') && text !== line.text && checksumOf(body) === hex && text.length === line.text.length
      );
    }),
  'thin-sentence-set': (seen) =>
    ggaOf(seen).length >= seen.epochs.length - 1 &&
    fieldsOf(seen, 'RMC').length === 0 &&
    fieldsOf(seen, 'VTG').length === 0,
};

/** What shows that a host really meets each failure of the lists of satellites. */
export const SHOWN_OF_SATELLITES: Readonly<Record<string, (seen: Seen) => boolean>> = {
  'gsv-signal-id': (seen) => fieldsOf(seen, 'GSV').every((fields) => (fields.length - 4) % 4 === 1),
  'gsv-blank-cn0': (seen) =>
    ggaOf(seen).every(({ quality }) => quality === '1') &&
    fieldsOf(seen, 'GSV').some((fields) =>
      satellitesOf(fields).some(({ elevation, cn0 }) => elevation !== '' && cn0 === ''),
    ),
  'gsv-padded-slots': (seen) =>
    fieldsOf(seen, 'GSV').some((fields) => fields.length === 20 && fields.slice(-4).join('') === ''),
  'gsa-per-system': ({ read }) =>
    read.some(({ name, fields }, i) => {
      const after = read[i + 1];
      if (name !== 'GSA' || after?.name !== 'GSA') return false;
      const [a, b] = [fields.slice(3, 15), after.fields.slice(3, 15)].map((ids) =>
        ids.filter((id) => id !== '').map(Number),
      );
      return (a ?? []).some((id) => id <= 32) && (b ?? []).length > 0 && (b ?? []).every((id) => id >= 65);
    }),
  'hex-ids': (seen) => fieldsOf(seen, 'GSV').some((fields) => fields[0] === 'GBGSV' && fields.at(-1) === 'B'),
  'gsv-per-signal': (seen) =>
    ofEpochs(seen, 'GSV').some(
      (list) => list.filter((fields) => fields[0] === 'GPGSV' && fields[2] === '1').length === 2,
    ),
  'gsv-none-in-view': (seen) => fieldsOf(seen, 'GSV').some((fields) => fields.slice(1, 4).join() === '1,1,00'),
  'gsv-bad-shape': (seen) => fieldsOf(seen, 'GSV').some((fields) => (fields.length - 4) % 4 !== 0),
  'gsv-decimal-cn0': (seen) =>
    fieldsOf(seen, 'GSV').some((fields) => satellitesOf(fields).some(({ cn0 }) => /^\d+\.\d$/.test(cn0))),
  'gsv-part-lost': (seen) => {
    // Those that arrived between two RMC are of one epoch.
    const parts: string[][] = [];
    for (const { name, fields } of seen.read) {
      if (name === 'RMC') parts.push([]);
      if (name === 'GSV') parts.at(-1)?.push(`${fields[2]} of ${fields[1]}`);
    }
    return parts.some((list) => list.includes('1 of 3') && list.includes('3 of 3') && !list.includes('2 of 3'));
  },
  'same-id-two-systems': (seen) =>
    ofEpochs(seen, 'GSV').some((list) => {
      const ids = (talker: string) =>
        list.filter(([id]) => id === `${talker}GSV`).flatMap((fields) => satellitesOf(fields).map(({ id }) => id));
      const gps = new Set(ids('GP'));
      return ids('GA').some((id) => gps.has(id));
    }),
  'three-digit-ids': (seen) => {
    const inGsv = fieldsOf(seen, 'GSV').some((fields) => satellitesOf(fields).some(({ id }) => Number(id) >= 201));
    return inGsv && fieldsOf(seen, 'GSA').some((fields) => fields.slice(3, 15).some((id) => Number(id) >= 201));
  },
  'used-exceeds-view': (seen) =>
    byEpoch(seen).some((list) => {
      const of = (name: string) =>
        list.filter(({ text }) => text.slice(3, 6) === name).map(({ text }) => fieldsOfText(text));
      return Number(of('GGA')[0]?.[7]) > Number(of('GSV')[0]?.[3]);
    }),
  'gga-count-capped': (seen) =>
    byEpoch(seen).some((list) => {
      const of = (name: string) =>
        list.filter(({ text }) => text.slice(3, 6) === name).map(({ text }) => fieldsOfText(text));
      const named = of('GSA').flatMap((fields) => fields.slice(3, 15).filter((id) => id !== ''));
      return of('GGA')[0]?.[7] === '12' && named.length > 12;
    }),
  'talker-switch': (seen) =>
    comesInOrder(
      rmcOf(seen),
      ({ id }) => id === 'GNRMC',
      ({ id, status }) => id === 'GLRMC' && status === 'A',
      ({ id }) => id === 'GNRMC',
    ),
};
