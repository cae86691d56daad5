/*
 * A naive host in JavaScript over serialport: takes what looks like a sentence for one, whatever its checksum, status or
 * date, and has a fix for good once it has seen a place. It ends when its port does.
 * use: node naive-reader.js PATH BAUD       prints a report an RMC sentence, as JSON
 */
import { SerialPort } from 'serialport';

const [path, baud] = process.argv.slice(2);
const port = new SerialPort({ path, baudRate: Number(baud) });
const last = { lat: null, lon: null, used: null, inView: null, alt: null };
let text = '';

function degrees(field, hemisphere) {
  const value = Number(field);
  const whole = Math.floor(value / 100);
  const sign = hemisphere === 'S' || hemisphere === 'W' ? -1 : 1;
  return sign * (whole + (value - 100 * whole) / 60);
}

function take(line) {
  const fields = line.split('*')[0].split(',');
  const name = fields[0].slice(3);
  if (name === 'GSV') last.inView = Number(fields[3]);
  if (name === 'GGA') {
    last.used = Number(fields[7]);
    if (fields[9]) last.alt = Number(fields[9]);
  }
  if (name !== 'RMC') return;
  if (fields[3]) last.lat = degrees(fields[3], fields[4]);
  if (fields[5]) last.lon = degrees(fields[5], fields[6]);
  if (last.lat === null) return;
  const [hh, mm, ss] = [fields[1].slice(0, 2), fields[1].slice(2, 4), fields[1].slice(4)];
  const [day, month, year] = [0, 2, 4].map((at) => (fields[9] ?? '').slice(at, at + 2));
  const report = { ...last, speed: Number(fields[7]), course: Number(fields[8]) };
  console.log(JSON.stringify({ time: `20${year}-${month}-${day}T${hh}:${mm}:${ss}Z`, ...report }));
}

port.on('data', (bytes) => {
  text += bytes.toString('latin1');
  const lines = text.split('\n');
  text = lines.pop();
  for (const line of lines) if (line.includes('$')) take(line.slice(line.indexOf('$')));
});
port.on('close', () => process.exit(1));
