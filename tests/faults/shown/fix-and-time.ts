import { comesInOrder, degrees, fieldsOf, ggaOf, longestSilence, metresBetween, rmcOf, type Seen } from './seen.js';

type Rmc = ReturnType<typeof rmcOf>[number];

const isValid = ({ status, lat }: Rmc) => status === 'A' && lat !== '';
const isVoid = ({ status, lat }: Rmc) => status === 'V' && lat === '';
const placeOf = ({ lat, lon }: { lat: string; lon: string }): [number, number] => [degrees(lat), degrees(lon)];

/** Seconds of the day. */
const secondsOf = (time: string) =>
  3600 * Number(time.slice(0, 2)) + 60 * Number(time.slice(2, 4)) + Number(time.slice(4));

/** The true time at the epoch of each RMC that is on record as meant, with what it says. */
function rmcWithTruth({ sent, epochs }: Seen) {
  return sent
    .filter(({ text }) => text.slice(3, 6) === 'RMC')
    .map(({ text, epoch }) => ({ fields: text.split(','), truth: epochs[epoch] }));
}

/** What shows that a host really meets each failure of fix and position. */
export const SHOWN_OF_FIX: Readonly<Record<string, (seen: Seen) => boolean>> = {
  'all-blank-void': (seen) => {
    const [rmc] = fieldsOf(seen, 'RMC');
    const gga = ggaOf(seen)[0];
    const said = rmc?.filter((field, place) => place > 0 && field !== '').join();
    return said === 'V,N' && gga?.quality === '0' && gga.lat === '' && gga.lon === '' && gga.altitude === '';
  },
  'lost-fix-stale': (seen) => comesInOrder(rmcOf(seen), isValid, isVoid, isValid),
  'estimated-fix': (seen) =>
    ggaOf(seen).some(({ quality, lat }) => quality === '6' && lat !== '') &&
    rmcOf(seen).some(({ mode }) => mode === 'E'),
  jump: (seen) => {
    const places = ggaOf(seen).map(placeOf);
    const far = places.slice(1).map((place, i) => metresBetween(places[i] as [number, number], place) > 25_000);
    return far.filter((isFar) => isFar).length === 2;
  },
  'zero-zero-position': (seen) =>
    rmcOf(seen).some(({ status, lat, lon }) => status === 'A' && Number(lat) === 0 && Number(lon) === 0 && lat !== ''),
  'validity-conflict': (seen) => {
    const gga = new Map(ggaOf(seen).map(({ time, quality }) => [time, Number(quality)]));
    return rmcOf(seen).some(({ time, status }) => status === 'V' && (gga.get(time) ?? 0) > 0);
  },
  'odd-status-letter': (seen) => rmcOf(seen).some(({ status = '' }) => /^[B-UW-Z]$/.test(status)),
  'slow-first-fix': (seen) => {
    const first = seen.epochs.find(({ report }) => report.status === 'A');
    const rmc = rmcOf(seen).findIndex(isValid);
    return (first?.atMs ?? 0) > 120_000 && rmc > 120;
  },
  'frozen-position': (seen) => {
    const list = rmcWithTruth(seen).map(({ fields, truth }) => ({
      time: fields[1],
      place: fields.slice(3, 7).join(),
      truth,
    }));
    return list.some(({ time, place, truth }, i) => {
      const later = list[i + 10];
      if (later?.place !== place || later.time === time || truth === undefined || later.truth === undefined)
        return false;
      const [a, b] = [truth.truth, later.truth.truth];
      return metresBetween([a.latitudeDeg, a.longitudeDeg], [b.latitudeDeg, b.longitudeDeg]) > 30;
    });
  },
  'fully-stuck': (seen) => {
    const counts = new Map<string, number>();
    for (const rmc of fieldsOf(seen, 'RMC')) counts.set(rmc.join(), (counts.get(rmc.join()) ?? 0) + 1);
    return Math.max(...counts.values()) >= 10;
  },
  tunnel: (seen) => {
    const gga = ggaOf(seen);
    const lost = gga.findIndex(({ quality, used }) => quality === '0' && used === '00');
    const back = gga.findIndex(({ quality }, i) => i > lost && quality !== '0');
    const [before, after] = [gga[lost - 1], gga[back]];
    if (lost < 1 || before === undefined || after === undefined) return false;
    return metresBetween(placeOf(before), placeOf(after)) > 100;
  },
  'static-drift': (seen) => {
    const places = new Set(
      rmcOf(seen)
        .filter(isValid)
        .map(({ lat, lon }) => `${lat} ${lon}`),
    );
    return seen.epochs.every(({ truth }) => truth.speedMps === 0) && places.size > 10;
  },
  'dop-extremes': (seen) => ggaOf(seen).some(({ quality, hdop }) => quality !== '0' && Number(hdop) >= 99),
  '2d-3d-flap': (seen) => {
    const types = fieldsOf(seen, 'GSA').map((fields) => fields[2]);
    const changes = types.filter((type, i) => i > 0 && type !== types[i - 1] && type !== '1' && types[i - 1] !== '1');
    return changes.length >= 10;
  },
  'jam-spoof': (seen) =>
    rmcWithTruth(seen).some(({ fields, truth }) => {
      if (fields[2] !== 'A' || truth === undefined) return false;
      const { latitudeDeg, longitudeDeg } = truth.truth;
      const told: [number, number] = [degrees(fields[3] as string), degrees(fields[5] as string)];
      return metresBetween(told, [latitudeDeg, longitudeDeg]) > 1000;
    }),
  'cn0-collapse': (seen) => {
    const means = seen.epochs.map((_, epoch) => {
      const cn0 = seen.sent
        .filter((line) => line.epoch === epoch && line.text.slice(3, 6) === 'GSV')
        .flatMap(({ text }) =>
          text
            .slice(0, text.indexOf('*'))
            .split(',')
            .slice(4)
            .filter((_field, i) => i % 4 === 3),
        );
      const known = cn0.filter((field) => field !== '').map(Number);
      return {
        listed: cn0.length,
        known: known.length,
        mean: known.reduce((sum, value) => sum + value, 0) / known.length,
      };
    });
    const start = means[15]?.mean ?? 0;
    const isWeak = ({ mean }: { mean: number }) => mean < start - 10;
    const isBlank = ({ listed, known }: { listed: number; known: number }) => listed > 0 && known === 0;
    return comesInOrder(means, isWeak, isBlank) && rmcOf(seen).some(isVoid);
  },
  'antenna-open-short': (seen) =>
    fieldsOf(seen, 'TXT').some((fields) => /ANT/i.test(fields.at(-1) as string)) && rmcOf(seen).some(isVoid),
  'reset-mid-run': (seen) => {
    const { lastsMs } = longestSilence(seen);
    const isCut = /[^\r\n]\$GPTXT,/.test(seen.text);
    const banners = fieldsOf(seen, 'TXT').length;
    return isCut && lastsMs >= 2000 && banners >= 2 && comesInOrder(rmcOf(seen), isValid, isVoid);
  },
};

/** What shows that a host really meets each failure of time. */
export const SHOWN_OF_TIME: Readonly<Record<string, (seen: Seen) => boolean>> = {
  'default-date': (seen) =>
    comesInOrder(
      rmcOf(seen),
      ({ status, date }) => status === 'V' && date === '060180',
      ({ date }) => date === '010326',
    ),
  'midnight-stale-date': ({ read }) =>
    comesInOrder(
      read,
      ({ name, fields }) => name === 'RMC' && fields[9] === '010127',
      ({ name, fields }) => name === 'GGA' && (fields[1] as string).startsWith('235959'),
    ),
  'week-rollover': (seen) =>
    rmcOf(seen).some(({ status, date = '' }) => {
      const [day, month, year] = [date.slice(0, 2), date.slice(2, 4), date.slice(4)].map(Number) as [
        number,
        number,
        number,
      ];
      const DAYS = 1024 * 7;
      return status === 'A' && Date.UTC(2000 + year, month - 1, day) + DAYS * 86_400_000 === Date.UTC(2026, 2, 1);
    }),
  'time-fraction': (seen) => rmcOf(seen).every(({ time }) => /^\d{6}$/.test(time)),
  'second-straddle': ({ sent, epochs }) =>
    sent.some(({ text, epoch, endMs }) => {
      const atMs = epochs[epoch]?.atMs ?? 0;
      return text.slice(3, 6) === 'RMC' && endMs > atMs + 1000;
    }),
  'date-blank': (seen) => rmcOf(seen).some(({ time, date }) => time !== '' && date === ''),
  'leap-second-60': (seen) =>
    comesInOrder(
      rmcOf(seen),
      ({ time, date }) => time.startsWith('235960') && date === '311216',
      ({ time, date }) => time.startsWith('000000') && date === '010117',
    ),
  'zda-zone': (seen) => fieldsOf(seen, 'ZDA').some((fields) => fields[5] === '-05'),
  'time-before-fix': (seen) => rmcOf(seen).some(({ status, time, lat }) => status === 'V' && time !== '' && lat === ''),
  'leap-offset-late': (seen) => {
    const ahead = rmcWithTruth(seen)
      .filter(({ fields, truth }) => fields[1] !== '' && truth !== undefined)
      .map(({ fields, truth }) => secondsOf(fields[1] as string) - secondsOf(truthTime(truth?.utc as string)));
    const isBy = (seconds: number) => (value: number) => Math.abs(value - seconds) < 0.5;
    return comesInOrder(ahead, isBy(3), isBy(0));
  },
  'time-backwards': (seen) => {
    const times = rmcOf(seen).map(({ time }) => secondsOf(time));
    return times.some((time, i) => i > 0 && time < (times[i - 1] as number));
  },
  'duplicate-epoch': (seen) => {
    const rmc = fieldsOf(seen, 'RMC').map((fields) => fields.join());
    return rmc.some((text, i) => i > 0 && text === rmc[i - 1]);
  },
  'wrong-epoch-pairing': ({ read }) =>
    read.some(({ name, fields }, i) => {
      const [before, after] = [
        read.slice(0, i).findLast((each) => each.name === 'RMC'),
        read.slice(i).find((each) => each.name === 'RMC'),
      ];
      if (name !== 'GGA' || before === undefined || after === undefined) return false;
      return secondsOf(fields[1] as string) < secondsOf(before.fields[1] as string);
    }),
};

/** hhmmss.sss of a time of the journal. */
function truthTime(utc: string): string {
  return utc.slice(11, 23).replaceAll(':', '');
}
