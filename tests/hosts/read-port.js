/*
 * A host in JavaScript over serialport: opens a port at a baud rate, prints a line for each read: `<epochMs> <hex>`.
 * use: node read-port.js PATH BAUD [SECONDS [TEXT]]   ends after SECONDS (or never); TEXT goes first, then CR LF
 * The first line, printed once the port is set up, is `ready`.
 */
import { SerialPort } from 'serialport';

const [path, baud, seconds, text] = process.argv.slice(2);
const port = new SerialPort({ path, baudRate: Number(baud) }, (error) => {
  if (error) {
    console.error(error.message);
    process.exit(1);
  }
  if (text !== undefined) port.write(`${text}\r\n`);
  console.log('ready');
  if (seconds !== undefined) setTimeout(() => port.close(() => process.exit(0)), Number(seconds) * 1000);
});
port.on('data', (bytes) => console.log(Date.now(), bytes.toString('hex')));
port.on('close', () => process.exit(0));
