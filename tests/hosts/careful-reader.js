/*
 * A careful host in JavaScript over serialport: believes a sentence whose checksum is right and whose status says so,
 * joins those of one epoch, doubts a date that is years from its machine's day or a place that nobody gets to so fast,
 * says that it has no fix when it has none or hears nothing, and opens its port anew when it is gone.
 * use: node careful-reader.js PATH BAUD TODAY [TIMES]
 *   TODAY is the day that its machine believes in (2022-02-18); waits are so many TIMES shorter (a module in a hurry)
 *   prints a report an epoch, as JSON
 */
import { existsSync } from 'node:fs';
import { SerialPort } from 'serialport';

const [path, baud, today, times = '1'] = process.argv.slice(2);
/** An epoch's sentences are over when so long nothing has come, ms. */
const IDLE_MS = 60 / Number(times);
/** Nothing is known of now when so long nothing has told a fix, ms. */
const STALE_MS = 4000 / Number(times);
const RETRY_MS = 300 / Number(times);
const FASTEST_MPS = 150;
const DAY_MS = 86_400_000;

let port = null;
let text = '';
let epoch = {};
let idle = null;
let stale = null;
/** The last place that was believed, and when it was. */
let known = null;
let date = null;
let toldTime = null;

function soundFields(line) {
  const [, body, given] = /^\$([^$*]{5,})\*([0-9A-F]{2})$/.exec(line) ?? [];
  if (body === undefined) return null;
  let sum = 0;
  for (const character of body) sum ^= character.charCodeAt(0);
  return sum === Number.parseInt(given, 16) ? body.split(',') : null;
}

function degrees(field, digits, hemisphere) {
  if (!/^\d+\.?\d*$/.test(field) || !/^[NSEW]$/.test(hemisphere)) return null;
  const value = Number(field.slice(0, digits)) + Number(field.slice(digits)) / 60;
  return hemisphere === 'S' || hemisphere === 'W' ? -value : value;
}

const number = (field) => (/^-?\d+\.?\d*$/.test(field ?? '') ? Number(field) : null);

function take(fields) {
  const name = fields[0].slice(2);
  const time = name === 'RMC' || name === 'GGA' ? fields[1] : null;
  if (time !== null && epoch.time !== undefined && epoch.time !== time) publish();
  if (time !== null) epoch.time = time;
  if (name === 'RMC') {
    epoch.isValid = fields[2] === 'A' && !['N', 'E'].includes(fields[12]);
    epoch.lat = degrees(fields[3], 2, fields[4]);
    epoch.lon = degrees(fields[5], 3, fields[6]);
    const knots = number(fields[7]);
    epoch.speed = knots === null ? null : (knots * 1852) / 3600;
    epoch.course = number(fields[8]);
    if (/^\d{6}$/.test(fields[9])) date = fields[9];
  } else if (name === 'GGA') {
    epoch.quality = number(fields[6]);
    epoch.used = number(fields[7]);
    epoch.alt = number(fields[9]);
  } else if (name === 'GSV') {
    epoch.inView ??= {};
    epoch.inView[fields[0]] = number(fields[3]) ?? 0;
  }
}

function utcOf(time) {
  if (date === null || !/^\d{6}(\.\d+)?$/.test(time ?? '')) return null;
  const [day, month, year] = [0, 2, 4].map((at) => date.slice(at, at + 2));
  const [hh, mm, ss] = [time.slice(0, 2), time.slice(2, 4), time.slice(4)];
  const utcMs = Date.parse(`20${year}-${month}-${day}T${hh}:${mm}:${Number(ss).toFixed(3).padStart(6, '0')}Z`);
  return Math.abs(utcMs - Date.parse(today)) < 400 * DAY_MS ? utcMs : null;
}

/** Metres, as good as needed to tell a leap from a drive. */
function apartM(a, b) {
  const northM = (a.lat - b.lat) * 111_120;
  const eastM = (a.lon - b.lon) * 111_120 * Math.cos((a.lat * Math.PI) / 180);
  return Math.hypot(northM, eastM);
}

function publish() {
  // A pause amid an epoch's sentences ends nothing: it is told once, and not without its RMC.
  if (epoch.isValid === undefined) return;
  const seen = epoch;
  epoch = {};
  if (seen.time !== '' && seen.time === toldTime) return;
  toldTime = seen.time;
  const utcMs = utcOf(seen.time);
  const inView = seen.inView === undefined ? null : Object.values(seen.inView).reduce((sum, each) => sum + each, 0);
  const counts = { used: seen.used ?? null, inView };
  const isTold = seen.isValid === true && (seen.quality ?? 1) > 0 && seen.quality !== 6;
  if (!isTold || seen.lat === null || seen.lon === null || utcMs === null) return say({ fix: false, ...counts }, utcMs);
  const elapsedS = known === null ? 0 : Math.max(1, (utcMs - known.utcMs) / 1000);
  // A place that stays after a leap is a new beginning.
  if (known !== null && apartM(seen, known) > FASTEST_MPS * elapsedS + 100 && elapsedS < 60) {
    return say({ fix: false, ...counts }, utcMs);
  }
  known = { lat: seen.lat, lon: seen.lon, utcMs };
  clearTimeout(stale);
  stale = setTimeout(nothing, STALE_MS);
  const { lat, lon, alt, speed, course } = seen;
  return say({ fix: true, lat, lon, alt, speed, course, ...counts }, utcMs);
}

function say(report, utcMs) {
  const time = utcMs === null ? {} : { time: new Date(utcMs).toISOString() };
  console.log(JSON.stringify({ ...time, ...report }));
}

function nothing() {
  say({ fix: false }, null);
  stale = setTimeout(nothing, STALE_MS);
}

function read(bytes) {
  text = (text + bytes.toString('latin1')).slice(-4096);
  const lines = text.split(/\r?\n|(?=\$)/);
  text = lines.pop();
  for (const line of lines) {
    const fields = soundFields(line.trim());
    if (fields !== null) take(fields);
  }
  clearTimeout(idle);
  idle = setTimeout(publish, IDLE_MS);
}

function open() {
  if (!existsSync(path)) return void setTimeout(open, RETRY_MS);
  text = '';
  port = new SerialPort({ path, baudRate: Number(baud) }, (error) => {
    if (error) return void setTimeout(open, RETRY_MS);
  });
  port.on('data', read);
  port.on('error', () => {});
  port.on('close', () => setTimeout(open, RETRY_MS));
  const mine = port;
  // Of a line that has hung up the package may read nothing for ever, and never say so.
  const look = setInterval(() => {
    if (mine !== port) return clearInterval(look);
    if (existsSync(path)) return;
    clearInterval(look);
    if (mine.isOpen) mine.close(() => {});
  }, RETRY_MS);
}

open();
stale = setTimeout(nothing, STALE_MS);
