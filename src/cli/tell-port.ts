import type { PortEvent } from '../emit/ports/port.js';

/** Says under what name a port has come back; whoever opens it has to know. */
export function tellPort(event: PortEvent, out: { readonly write: (text: string) => void }): void {
  if (event.event !== 'back') return;
  out.write(`port: ${event.name} (back)\n${event.link === undefined ? '' : `link: ${event.link}\n`}`);
}
