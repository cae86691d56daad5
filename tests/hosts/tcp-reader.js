/*
 * A host in JavaScript over TCP: reads a module's sentences at HOST:PORT and posts the place of each valid RMC to URL, as
 * a GeoJSON point.
 * use: node tcp-reader.js HOST:PORT URL
 */
import { connect } from 'node:net';

const [address, url] = process.argv.slice(2);
const [host, port] = address.split(':');
let text = '';

function degrees(field, digits, hemisphere) {
  const value = Number(field.slice(0, digits)) + Number(field.slice(digits)) / 60;
  return hemisphere === 'S' || hemisphere === 'W' ? -value : value;
}

async function take(line) {
  const [name, time, status, lat, north, lon, east, , , date] = line.split(',');
  if (name.slice(3) !== 'RMC' || status !== 'A') return;
  const [day, month, year] = [0, 2, 4].map((at) => date.slice(at, at + 2));
  const iso = `20${year}-${month}-${day}T${time.slice(0, 2)}:${time.slice(2, 4)}:${time.slice(4)}Z`;
  const coordinates = [degrees(lon, 3, east), degrees(lat, 2, north)];
  const body = { type: 'Feature', geometry: { type: 'Point', coordinates }, properties: { time: iso } };
  await fetch(url, { method: 'POST', body: JSON.stringify(body) });
}

connect(Number(port), host)
  .setEncoding('latin1')
  .on('data', (part) => {
    const lines = (text + part).split('\r\n');
    text = lines.pop();
    for (const line of lines) take(line).catch((error) => console.error(error.message));
  })
  .on('close', () => process.exit(0));
