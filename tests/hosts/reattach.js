/*
 * A host in JavaScript over serialport that finds its port again: opens the first of PATHs that is there, prints what it
 * reads, and when it loses the port opens the first that is there then. A line on its standard input is one more path.
 * A device of its own name is opened once: when it has gone, the system may give its name to another program's port.
 * use: node reattach.js BAUD PATH…       prints `open PATH`, `read HEX`, `lost REASON`; ends when standard input does
 */
import { existsSync, lstatSync } from 'node:fs';
import { createInterface } from 'node:readline';
import { SerialPort } from 'serialport';

const [baud, ...paths] = process.argv.slice(2);
let port = null;

function attach() {
  const path = paths.find(existsSync);
  if (path === undefined) return void setTimeout(attach, 20);
  const isLink = lstatSync(path, { throwIfNoEntry: false })?.isSymbolicLink() ?? true;
  port = new SerialPort({ path, baudRate: Number(baud) }, (error) => {
    if (error) {
      console.log(`refused ${error.message}`);
      setTimeout(attach, 50);
      return;
    }
    console.log(`open ${path}`);
    if (!isLink) paths.splice(paths.indexOf(path), 1);
  });
  port.on('data', (bytes) => console.log(`read ${bytes.toString('hex')}`));
  port.on('close', (error) => {
    console.log(`lost ${error?.message ?? ''}`);
    attach();
  });
}

createInterface({ input: process.stdin })
  .on('line', (path) => paths.push(path))
  .on('close', () => process.exit(0));
attach();
