import { DOMParser, type Document, type Element } from '@xmldom/xmldom';
import { SECONDS_PER_DAY } from '../base/constants.js';
import { LodestubError } from '../base/error.js';
import { PUBLISHED_LEAP_SECONDS } from '../base/leap-seconds.js';
import { dateOfDay, dayNumberOf } from '../base/time.js';
import type { TrackPoint } from '../sim/trajectory/route.js';
import { HIGHEST_M, LOWEST_M } from './bounds.js';

/** `xsd:dateTime`: fraction and zone optional. GPX says UTC; without a zone it is taken as such. */
const DATE_TIME = /^(\d{4})-(\d{2})-(\d{2})T(\d{2}):(\d{2}):(\d{2}(?:\.\d+)?)\s*(?:Z|([+-])(\d{2}):?(\d{2}))?$/;

/**
 * Reads the points of a GPX file: all tracks' segments joined, or, where there is no track point, all routes.
 * The elements are read by themselves: a list of coordinates beside a list of times loses which belongs to which as
 * soon as one is missing.
 * @param name the file, for messages
 * @returns points in the file's order, `altitudeMslM` where the file has it, `timeS` since the first (leap seconds
 *   counted), on all points or on none
 * @throws LodestubError `track.xml`, `track.empty`, `track.place`, `track.height`, `track.time`, `track.some-times`
 *   Source: Topografix, GPX 1.1 schema and GPX 1.0 schema.
 */
export function readGpx(text: string, name: string): TrackPoint[] {
  const document = parseXml(text, name);
  const elements = pointElements(document, name);
  const rows = elements.map((element) => readPoint(element, name));
  const firstS = rows[0]!.timeS;
  const isTimed = firstS !== undefined;
  const odd = rows.findIndex(({ timeS }) => (timeS !== undefined) !== isTimed);
  if (odd >= 0) {
    const without = isTimed ? odd : 0;
    throw new LodestubError({
      code: 'track.some-times',
      path: pathOf(elements[without]!, name),
      expected: 'a time for every point or for none',
      received: `point ${without + 1} without one, point ${(isTimed ? 0 : odd) + 1} with one`,
      hint: 'Remove the points without a time, or all times and give the track a speed.',
    });
  }
  return rows.map(({ timeS, ...place }) =>
    timeS === undefined || firstS === undefined ? place : { ...place, timeS: timeS - firstS },
  );
}

function parseXml(text: string, name: string): Document {
  let reason = '';
  try {
    // The parser wraps what its handler throws in words of its own: the reason is kept aside.
    const onError = (level: 'warning' | 'error' | 'fatalError', message: string): void => {
      if (level === 'warning') return;
      reason ||= message;
      throw new Error(message);
    };
    // A byte order mark is not part of the document.
    return new DOMParser({ onError }).parseFromString(text.replace(/^\uFEFF/, ''), 'text/xml');
  } catch (cause) {
    throw new LodestubError({
      code: 'track.xml',
      path: name,
      expected: 'a GPX file (XML)',
      received: `text that is not XML (${firstLine(reason || String(cause))})`,
      hint: 'Export the track as GPX again.',
      cause,
    });
  }
}

function pointElements(document: Document, name: string): Element[] {
  const root = document.documentElement;
  for (const kind of root?.localName === 'gpx' ? ['trkpt', 'rtept'] : []) {
    const elements = Array.from(document.getElementsByTagNameNS('*', kind));
    if (elements.length > 0) return elements;
  }
  throw new LodestubError({
    code: 'track.empty',
    path: name,
    expected: 'a GPX file with a track or a route',
    received: root?.localName === 'gpx' ? 'one without any of their points' : `a file of <${root?.nodeName}>`,
    hint: 'Waypoints alone make no track.',
  });
}

function readPoint(element: Element, name: string): TrackPoint {
  const latitudeDeg = coordinate(element, 'lat', 90, name);
  const longitudeDeg = coordinate(element, 'lon', 180, name);
  const height = childText(element, 'ele');
  const time = childText(element, 'time');
  return {
    latitudeDeg,
    longitudeDeg,
    ...(height === '' ? {} : { altitudeMslM: heightOf(height, element, name) }),
    ...(time === '' ? {} : { timeS: secondsOf(time, element, name) }),
  };
}

function coordinate(element: Element, attribute: 'lat' | 'lon', limitDeg: number, name: string): number {
  const text = element.getAttribute(attribute)?.trim() ?? '';
  const value = text === '' ? Number.NaN : Number(text);
  if (Math.abs(value) <= limitDeg) return value;
  throw new LodestubError({
    code: 'track.place',
    path: pathOf(element, name),
    expected: `${attribute} from -${limitDeg} to ${limitDeg} deg`,
    received: text === '' ? 'none' : JSON.stringify(text),
  });
}

function heightOf(text: string, element: Element, name: string): number {
  const value = Number(text);
  if (value >= LOWEST_M && value <= HIGHEST_M) return value;
  throw new LodestubError({
    code: 'track.height',
    path: pathOf(element, name),
    expected: `ele as a number of metres from ${LOWEST_M} to ${HIGHEST_M}`,
    received: JSON.stringify(text),
  });
}

/** Seconds on a scale without leap seconds, of a time in UTC. */
function secondsOf(text: string, element: Element, name: string): number {
  const match = DATE_TIME.exec(text);
  const [year, month, day, hour, minute, second] = (match?.slice(1, 7) ?? []).map(Number) as number[];
  const dayNumber = match ? dayNumberOf(year!, month!, day!) : 0;
  const back = dateOfDay(dayNumber);
  const exists = match && back.month === month && back.day === day && hour! <= 24 && minute! < 60 && second! < 61;
  if (!exists) {
    throw new LodestubError({
      code: 'track.time',
      path: pathOf(element, name),
      expected: 'a time such as 2022-02-18T09:30:00Z',
      received: JSON.stringify(text),
    });
  }
  const zoneS = (match[7] === '-' ? -1 : 1) * (Number(match[8] ?? 0) * 3600 + Number(match[9] ?? 0) * 60);
  const utcS = dayNumber * SECONDS_PER_DAY + hour! * 3600 + minute! * 60 + second! - zoneS;
  // Second 60 belongs to the day that it ends.
  const utcDay = Math.floor((second! >= 60 ? utcS - 1 : utcS) / SECONDS_PER_DAY);
  return utcS + PUBLISHED_LEAP_SECONDS.gpsMinusUtcOnDayS(utcDay);
}

/** Text of a child of the point itself: extensions may have elements of the same name. */
function childText(element: Element, localName: string): string {
  for (let node = element.firstChild; node !== null; node = node.nextSibling) {
    if (node.nodeType === node.ELEMENT_NODE && (node as Element).localName === localName) {
      return node.textContent?.trim() ?? '';
    }
  }
  return '';
}

function pathOf(element: Element, name: string): string {
  const line = (element as { lineNumber?: number }).lineNumber;
  return line === undefined ? name : `${name}, line ${line}`;
}

function firstLine(text: string): string {
  return text.split('\n', 1)[0]!.trim();
}
