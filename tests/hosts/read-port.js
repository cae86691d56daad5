/*
 * A host in JavaScript over serialport: opens a port at a baud rate, prints a line for each read: `<epochMs> <hex>`.
 * use: node read-port.js PATH BAUD [SECONDS [TEXT]]   ends after SECONDS (or never); TEXT goes first, then CR LF
 * BAUD may be BAUD,BAUD: the other speed is set on SIGUSR2.
 * The first line, printed once the port is set up, is `ready`.
 */
import { existsSync, realpathSync } from 'node:fs';
import { SerialPort } from 'serialport';

const [path, baud, seconds, text] = process.argv.slice(2);
const [first, later] = baud.split(',').map(Number);

function check(error) {
  if (!error) return;
  console.error(error.message);
  process.exit(1);
}

const device = realpathSync(path);
const port = new SerialPort({ path, baudRate: first }, (error) => {
  check(error);
  if (text !== undefined) port.write(`${text}\r\n`);
  console.log('ready');
  if (seconds !== undefined) setTimeout(() => port.close(() => process.exit(0)), Number(seconds) * 1000);
});
if (later !== undefined) process.on('SIGUSR2', () => port.update({ baudRate: later }, check));
port.on('data', (bytes) => console.log(Date.now(), bytes.toString('hex')));
port.on('close', () => process.exit(0));
// Of a line that has hung up the package may read nothing for ever, and never say so.
setInterval(() => existsSync(device) || process.exit(0), 500).unref();
