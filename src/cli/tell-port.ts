import type { PortEvent } from '../emit/ports/port.js';

/** Says on a terminal, or in a log, under what name a port has come back; whoever opens it has to know. */
export function tellPort(event: PortEvent, out: Pick<NodeJS.WriteStream, 'isTTY' | 'write'>): void {
  if (event.event !== 'back') return;
  // In a terminal the status line stands there.
  const start = out.isTTY ? '\r\x1b[2K' : '';
  out.write(`${start}port: ${event.name} (back)\n${event.link === undefined ? '' : `link: ${event.link}\n`}`);
}
