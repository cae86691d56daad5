import { Parser as SignalK } from '@signalk/nmea0183-signalk';
import { Decoder, type GGA, type GLL, type GSA, type GSV, type RMC, type VTG } from 'extended-nmea';
import { GPS } from 'gps';
import { parseNmeaSentence } from 'nmea-simple';
import type { ReportLine } from '../run/helper.js';

/** A satellite as a reader decoded it; null or NaN where the field was blank. */
export interface DecodedSatellite {
  readonly number: number;
  readonly elevationDeg: number | null;
  readonly azimuthDeg: number | null;
  readonly cn0DbHz: number | null;
}

/** What a reader made of a sentence, in the reader's own precision; what it does not give is absent. */
export interface Decoded {
  readonly latitudeDeg?: number | null;
  readonly longitudeDeg?: number | null;
  readonly altitudeMslM?: number | null;
  readonly geoidSeparationM?: number | null;
  readonly speedMps?: number | null;
  readonly courseDeg?: number | null;
  /** ms of the day. */
  readonly timeMs?: number;
  /** `2026-05-12`. */
  readonly date?: string;
  readonly quality?: number;
  readonly fix?: string | number | null;
  readonly status?: string;
  readonly mode?: string;
  readonly used?: number | null;
  readonly usedNumbers?: readonly number[];
  readonly hdop?: number | null;
  readonly vdop?: number | null;
  readonly pdop?: number | null;
  readonly inView?: number | null;
  readonly satellites?: readonly DecodedSatellite[];
}

/** An independent reader of sentences, and what it claims. */
export interface Reader {
  readonly name: string;
  /** The sentences that it claims to support; on others it may throw. */
  readonly claims: readonly string[];
  /** It gives 0 for a blank field. */
  readonly blankIsZero: boolean;
  /** Sentences in which it cuts the fraction of a second off. */
  readonly cutsSeconds: readonly string[];
  /** What its own conversion of units is wrong by. */
  readonly relativeError: number;
  /** @throws where it rejects the sentence, `$…*hh` without CR LF. Null: accepted, and nothing to say. */
  readonly read: (line: string, report: ReportLine) => Decoded | null;
}

const KNOT_MPS = 1852 / 3600;
const DAY_MS = 86_400_000;

const timeOf = (date: Date) => date.getTime() % DAY_MS;
const dateOf = (date: Date) => date.toISOString().slice(0, 10);

/** Time and date of a full date, as far as the module claims to know them: readers fill the rest from their clock. */
function clock(date: Date | null, { timeKnown, dateKnown }: ReportLine): Pick<Decoded, 'timeMs' | 'date'> {
  if (date === null || !timeKnown) return {};
  return { timeMs: timeOf(date), ...(dateKnown ? { date: dateOf(date) } : {}) };
}

const timeOnly = (date: Date | null, { timeKnown }: ReportLine) =>
  date === null || !timeKnown ? {} : { timeMs: timeOf(date) };

const GPS_QUALITIES: Readonly<Record<string, number>> = {
  fix: 1,
  'dgps-fix': 2,
  estimated: 6,
  simulated: 8,
};

const GPS_MODES: Readonly<Record<string, string>> = {
  'not valid': 'N',
  autonomous: 'A',
  differential: 'D',
  estimated: 'E',
  simulated: 'S',
};

const GPS_JS: Reader = {
  name: 'gps',
  claims: ['GGA', 'GLL', 'GSA', 'GSV', 'RMC', 'VTG', 'ZDA', 'TXT'],
  blankIsZero: false,
  cutsSeconds: [],
  relativeError: 0,
  read(line, report) {
    const said = GPS.Parse(line);
    if (said === false) throw new Error('not a sentence');
    if (!said.valid) throw new Error('wrong checksum');
    switch (said.type) {
      case 'GGA':
        return {
          ...timeOnly(said.time, report),
          latitudeDeg: said.lat,
          longitudeDeg: said.lon,
          altitudeMslM: said.alt,
          geoidSeparationM: said.geoidal,
          quality: said.quality === null ? 0 : (GPS_QUALITIES[said.quality] ?? -1),
          used: said.satellites,
          hdop: said.hdop,
        };
      case 'GLL':
        return {
          ...timeOnly(said.time, report),
          latitudeDeg: said.lat,
          longitudeDeg: said.lon,
          status: said.status === 'active' ? 'A' : 'V',
        };
      case 'GSA':
        return { fix: said.fix, usedNumbers: said.satellites, pdop: said.pdop, hdop: said.hdop, vdop: said.vdop };
      case 'GSV': {
        const satellites = said.satellites.map(({ prn, elevation, azimuth, snr }) => ({
          number: prn as number,
          elevationDeg: elevation,
          azimuthDeg: azimuth,
          cn0DbHz: snr,
        }));
        return { inView: said.satsInView, satellites };
      }
      case 'RMC':
        return {
          ...clock(said.time, report),
          status: said.status === 'active' ? 'A' : 'V',
          latitudeDeg: said.lat,
          longitudeDeg: said.lon,
          speedMps: said.speed === null ? null : said.speed / 3.6,
          courseDeg: said.track,
          ...(said.faa === null ? {} : { mode: GPS_MODES[said.faa] ?? String(said.faa) }),
        };
      case 'VTG':
        return { speedMps: said.speed === null ? null : said.speed / 3.6, courseDeg: said.track };
      case 'ZDA':
        return clock(said.time, report);
      default:
        return null;
    }
  },
};

const SIMPLE_QUALITIES = ['none', 'fix', 'delta', 'pps', 'rtk', 'frtk', 'estimated', 'manual', 'simulation'];

const NMEA_SIMPLE: Reader = {
  name: 'nmea-simple',
  claims: ['GGA', 'GLL', 'GSA', 'GSV', 'RMC', 'VTG', 'ZDA'],
  blankIsZero: true,
  cutsSeconds: [],
  relativeError: 0,
  read(line, report) {
    const said = parseNmeaSentence(line);
    switch (said.sentenceId) {
      case 'GGA':
        return {
          ...timeOnly(said.time, report),
          latitudeDeg: said.latitude,
          longitudeDeg: said.longitude,
          altitudeMslM: said.altitudeMeters,
          geoidSeparationM: said.geoidalSeperation,
          quality: SIMPLE_QUALITIES.indexOf(said.fixType),
          used: said.satellitesInView,
          hdop: said.horizontalDilution,
        };
      case 'GLL':
        return {
          ...timeOnly(said.time, report),
          latitudeDeg: said.latitude,
          longitudeDeg: said.longitude,
          status: said.status === 'valid' ? 'A' : 'V',
          mode: String(said.faaMode),
        };
      case 'GSA': {
        const { fixMode, satellites, PDOP, HDOP, VDOP } = said;
        return {
          fix: fixMode === 'none' ? null : fixMode,
          usedNumbers: satellites,
          pdop: PDOP,
          hdop: HDOP,
          vdop: VDOP,
        };
      }
      case 'GSV': {
        // It takes a signal id for the number of one more satellite, which has no other fields.
        const satellites = said.satellites
          .filter(({ elevationDegrees }) => !Number.isNaN(elevationDegrees))
          .map(({ prnNumber, elevationDegrees, azimuthTrue, SNRdB }) => ({
            number: prnNumber,
            elevationDeg: elevationDegrees,
            azimuthDeg: azimuthTrue,
            cn0DbHz: SNRdB,
          }));
        return { inView: said.satellitesInView, satellites };
      }
      case 'RMC':
        return {
          ...clock(said.datetime, { ...report, timeKnown: report.timeKnown && report.dateKnown }),
          status: said.status === 'valid' ? 'A' : 'V',
          latitudeDeg: said.latitude,
          longitudeDeg: said.longitude,
          speedMps: said.speedKnots * KNOT_MPS,
          courseDeg: said.trackTrue,
          mode: String(said.faaMode),
        };
      case 'VTG':
        return { speedMps: said.speedKnots * KNOT_MPS, courseDeg: said.trackTrue, mode: String(said.faaMode) };
      case 'ZDA':
        return clock(said.datetime, report);
      default:
        return null;
    }
  },
};

const SIGNALK_QUALITIES = ['no GPS', 'GNSS Fix', 'DGNSS fix', '', '', '', 'Estimated (DR) mode', '', 'Simulator mode'];
const DEG_PER_RAD = 180 / Math.PI;

interface InView {
  readonly count: number;
  readonly satellites: ReadonlyArray<{
    readonly id: number;
    readonly elevation: number;
    readonly azimuth: number;
    readonly SNR: number;
  }>;
}

/** Keeps the satellites of a group until its last sentence, so that each run has a reader of its own. */
function signalK(): Reader {
  const parser = new SignalK();
  return {
    name: '@signalk/nmea0183-signalk',
    claims: ['GGA', 'GLL', 'GSV', 'RMC', 'VTG', 'ZDA'],
    blankIsZero: false,
    cutsSeconds: ['GGA', 'GLL'],
    // Its ratio of m/s to knots has seven digits.
    relativeError: 1e-6,
    read(line, report) {
      const delta = parser.parse(line);
      const update = delta?.updates?.[0];
      if (update === undefined) return null;
      const values = new Map(update.values.map(({ path, value }) => [path, value as unknown]));
      const name = line.slice(3, 6);
      const place = values.get('navigation.position') as { latitude: number; longitude: number } | null | undefined;
      const position =
        place === undefined ? {} : { latitudeDeg: place?.latitude ?? null, longitudeDeg: place?.longitude ?? null };
      const instant = name === 'ZDA' ? values.get('navigation.datetime') : update.timestamp;
      const isClock = ['GGA', 'GLL', 'RMC', 'ZDA'].includes(name) && typeof instant === 'string';
      const time = !isClock ? {} : (name === 'RMC' || name === 'ZDA' ? clock : timeOnly)(new Date(instant), report);
      const course = values.get('navigation.courseOverGroundTrue') as number | null | undefined;
      const speed = values.get('navigation.speedOverGround') as number | null | undefined;
      const motion = {
        ...(course === undefined ? {} : { courseDeg: course === null ? null : course * DEG_PER_RAD }),
        ...(speed === undefined ? {} : { speedMps: speed }),
      };
      if (name === 'GGA') {
        return {
          ...time,
          ...position,
          quality: SIGNALK_QUALITIES.indexOf(String(values.get('navigation.gnss.methodQuality'))),
          used: values.get('navigation.gnss.satellites') as number,
          hdop: values.get('navigation.gnss.horizontalDilution') as number,
          altitudeMslM: values.get('navigation.gnss.antennaAltitude') as number,
          geoidSeparationM: values.get('navigation.gnss.geoidalSeparation') as number,
        };
      }
      if (name !== 'GSV') return { ...time, ...position, ...motion };
      const { count, satellites } = values.get('navigation.gnss.satellitesInView') as InView;
      // Blank fields come as 0, and cannot be told from a real 0 here.
      const known = satellites.filter(({ SNR, elevation }) => SNR > 0 && elevation > 0);
      return {
        inView: count,
        satellites: known.map(({ id, elevation, azimuth, SNR }) => ({
          number: id,
          elevationDeg: elevation * DEG_PER_RAD,
          azimuthDeg: azimuth * DEG_PER_RAD,
          cn0DbHz: SNR,
        })),
      };
    },
  };
}

const EXTENDED: Reader = {
  name: 'extended-nmea',
  claims: ['GGA', 'GLL', 'GSA', 'GSV', 'RMC', 'VTG'],
  blankIsZero: true,
  cutsSeconds: [],
  relativeError: 0,
  read(line, report) {
    const said = Decoder.decode(`${line}\r\n`);
    if (!said.valid) throw new Error(said.invalidReason ?? 'not valid');
    const name = line.slice(3, 6);
    // Its getters throw on blank fields by design: a host asks for the status first.
    const hasFix = report.fix !== 'none';
    const place = (at: Pick<GGA, 'latitude' | 'longitude'>) =>
      hasFix ? { latitudeDeg: at.latitude.decimalDegrees, longitudeDeg: at.longitude.decimalDegrees } : {};
    const time = (at: Pick<GGA, 'time'>) => {
      if (!report.timeKnown) return {};
      const { hours, minutes, seconds, milliseconds } = at.time;
      // Two digits of a fraction are given as they stand: 25 for .25.
      const fraction = line.split(',').find((field) => /^\d{6}\.\d\d$/.test(field)) === undefined ? 1 : 10;
      return { timeMs: ((hours * 60 + minutes) * 60 + seconds) * 1000 + milliseconds * fraction };
    };
    if (name === 'GGA') {
      const gga = said as GGA;
      const heights = hasFix ? { altitudeMslM: gga.altMean, geoidSeparationM: gga.geoidalSeparation } : {};
      const quality = gga.gpsQuality as number;
      return { ...place(gga), ...time(gga), ...heights, quality, used: gga.satellitesInView, hdop: gga.horizontalDOP };
    }
    if (name === 'GLL') {
      const gll = said as GLL;
      return { ...place(gll), ...time(gll), status: String(gll.status), mode: String(gll.posMode) };
    }
    if (name === 'GSA') {
      const { fix, ids, positionalDop, horizontalDop, verticalDop } = said as GSA;
      // It reads eleven of the twelve places.
      const numbers = line.split(',')[14] === '' ? { usedNumbers: ids } : {};
      return { fix, ...numbers, pdop: positionalDop, hdop: horizontalDop, vdop: verticalDop };
    }
    if (name === 'GSV') {
      const gsv = said as GSV;
      const satellites = [...gsv.satellites()].map(({ PRN, Elevation, Azimuth, SNR }) => ({
        number: PRN,
        elevationDeg: Elevation,
        azimuthDeg: Azimuth,
        cn0DbHz: SNR,
      }));
      return { inView: gsv.totalMessageCount, satellites };
    }
    if (name === 'RMC') {
      const rmc = said as RMC;
      const { day, month, year } = report.dateKnown ? rmc.date : { day: 0, month: 0, year: 0 };
      const date = [year, String(month).padStart(2, '0'), String(day).padStart(2, '0')].join('-');
      return {
        ...place(rmc),
        ...time(rmc),
        ...(report.dateKnown ? { date } : {}),
        status: String(rmc.status),
        mode: String(rmc.posMode),
        speedMps: rmc.speedOverGround * KNOT_MPS,
        courseDeg: rmc.courseOverGround,
      };
    }
    const vtg = said as VTG;
    return { speedMps: vtg.speed * KNOT_MPS, courseDeg: vtg.trackingAngle, mode: String(vtg.posMode) };
  },
};

/** Fresh readers, for a run of their own. */
export function readers(): Reader[] {
  return [GPS_JS, NMEA_SIMPLE, signalK(), EXTENDED];
}
