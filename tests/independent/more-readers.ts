import { Parser as SignalK } from '@signalk/nmea0183-signalk';
import { Decoder, type DTM, type HDT, type ROT } from 'extended-nmea';
import { GPS } from 'gps';
import { parseNmeaSentence } from 'nmea-simple';

/** What a reader made of one of the rarer sentences; null or NaN where a field was blank. */
export type Values = Readonly<Record<string, number | string | null | undefined>>;

/** An independent reader of the rarer sentences. */
export interface MoreReader {
  readonly name: string;
  readonly claims: readonly string[];
  /** @throws where it rejects the sentence. Null: it says nothing of what is blank. */
  readonly read: (line: string) => Values | null;
}

const DEG_PER_RAD = 180 / Math.PI;

const GPS_JS: MoreReader = {
  name: 'gps',
  claims: ['GNS', 'GST', 'GBS', 'GRS', 'HDT'],
  read(line) {
    const said = GPS.Parse(line) as false | (Record<string, unknown> & { valid: boolean });
    if (said === false || !said.valid) throw new Error('not a sentence');
    const value = (key: string) => said[key] as number | null;
    switch (line.slice(3, 6)) {
      case 'GNS':
        return {
          latitudeDeg: value('lat'),
          longitudeDeg: value('lon'),
          modes: value('mode'),
          used: value('satsUsed'),
          hdop: value('hdop'),
          altitudeMslM: value('alt'),
          geoidSeparationM: value('sep'),
        };
      case 'GST':
        return {
          rangeRmsM: value('rms'),
          majorM: value('ellipseMajor'),
          minorM: value('ellipseMinor'),
          orientationDeg: value('ellipseOrientation'),
          latitudeM: value('latitudeError'),
          longitudeM: value('longitudeError'),
          altitudeM: value('heightError'),
        };
      case 'GBS':
        return {
          latitudeM: value('errLat'),
          longitudeM: value('errLon'),
          altitudeM: value('errAlt'),
          suspect: value('failedSat'),
          missedProbability: value('probFailedSat'),
          biasM: value('biasFailedSat'),
          deviationM: value('stdFailedSat'),
        };
      case 'GRS':
        return { residuals: (said.res as number[]).join() };
      default:
        return { headingDeg: value('heading') };
    }
  },
};

const NMEA_SIMPLE: MoreReader = {
  name: 'nmea-simple',
  claims: ['GNS', 'GST', 'DTM', 'HDT'],
  read(line) {
    const said = parseNmeaSentence(line);
    switch (said.sentenceId) {
      case 'GNS':
        return {
          latitudeDeg: said.latitude,
          longitudeDeg: said.longitude,
          modes: said.modeIndicator,
          used: said.satellitesInView,
          hdop: said.horizontalDilution,
          altitudeMslM: said.altitudeMeters,
          geoidSeparationM: said.geoidalSeperation,
        };
      case 'GST':
        return {
          rangeRmsM: said.totalRms,
          majorM: said.semiMajorError,
          minorM: said.semiMinorError,
          orientationDeg: said.orientationOfSemiMajorError,
          latitudeM: said.latitudeError,
          longitudeM: said.longitudeError,
          altitudeM: said.altitudeError,
        };
      case 'DTM':
        return {
          datum: said.datumCode,
          reference: said.datumName,
          offsetM: said.offsetLatitude + said.offsetLongitude + said.offsetAltitudeMeters,
        };
      case 'HDT':
        return { headingDeg: said.heading };
      default:
        throw new Error(`${said.sentenceId} is not read here`);
    }
  },
};

const SIGNAL_K: MoreReader = {
  name: '@signalk/nmea0183-signalk',
  claims: ['GNS', 'HDT', 'ROT'],
  read(line) {
    const update = new SignalK().parse(line)?.updates?.[0];
    if (update === undefined) return null;
    const values = new Map(update.values.map(({ path, value }) => [path as string, value as unknown]));
    const number = (path: string) => values.get(path) as number;
    if (line.slice(3, 6) === 'HDT') return { headingDeg: number('navigation.headingTrue') * DEG_PER_RAD };
    if (line.slice(3, 6) === 'ROT') return { rateDegPerMin: number('navigation.rateOfTurn') * DEG_PER_RAD * 60 };
    const place = values.get('navigation.position') as { latitude: number; longitude: number } | null;
    return {
      latitudeDeg: place?.latitude ?? null,
      longitudeDeg: place?.longitude ?? null,
      used: number('navigation.gnss.satellites'),
      hdop: number('navigation.gnss.horizontalDilution'),
      altitudeMslM: number('navigation.gnss.antennaAltitude'),
      geoidSeparationM: number('navigation.gnss.geoidalSeparation'),
    };
  },
};

const EXTENDED: MoreReader = {
  name: 'extended-nmea',
  claims: ['DTM', 'HDT', 'ROT'],
  read(line) {
    const said = Decoder.decode(`${line}\r\n`);
    if (!said.valid) throw new Error(said.invalidReason ?? 'not valid');
    if (line.slice(3, 6) === 'HDT') return { headingDeg: (said as HDT).heading };
    if (line.slice(3, 6) === 'ROT') return { rateDegPerMin: (said as ROT).rateOfTurn };
    const { datumCode, referenceDatum, altitude } = said as DTM;
    return { datum: datumCode, reference: referenceDatum, offsetM: altitude };
  },
};

export const MORE_READERS: readonly MoreReader[] = [GPS_JS, NMEA_SIMPLE, SIGNAL_K, EXTENDED];
