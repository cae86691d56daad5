import { LodestubError } from '../../base/error.js';
import type { ModulePort, PortListener } from './port.js';

/** A port as the user names it. */
export type PortSpec =
  | { readonly kind: 'pty' | 'stdout' | 'memory' }
  | { readonly kind: 'serial' | 'file' | 'mock'; readonly path: string }
  | { readonly kind: 'tcp' | 'udp'; readonly host: string; readonly port: number };

/** What the kinds of port need beside their name. */
export interface PortOptions {
  /** Line speed, baud: pty and serial devices. */
  readonly baud: number;
  /** A symbolic link to the pty. */
  readonly linkPath?: string;
  /** Replaces an output file that is not an earlier output. */
  readonly force?: boolean;
}

const LOOPBACK = '127.0.0.1';
const FORMS = 'pty, a device such as /dev/ttyUSB0 or COM3, tcp:[HOST:]PORT, udp:[HOST:]PORT, stdout, file:PATH';

/**
 * Reads the name of a port: `pty`, `/dev/…`, `COM3`, `tcp:[HOST:]PORT`, `udp:[HOST:]PORT`, `stdout`, `file:PATH`, and
 * for programs `memory` and `mock:PATH`. HOST is 127.0.0.1 unless given; an IPv6 address stands in brackets.
 * @throws LodestubError `port.spec`
 */
export function parsePortSpec(text: string): PortSpec {
  if (text === 'pty' || text === 'stdout' || text === 'memory') return { kind: text };
  if (/^(\/.+|COM[1-9]\d*|\\\\\.\\.+)$/i.test(text)) return { kind: 'serial', path: text };
  const [, kind, rest] = /^(file|mock|tcp|udp):(.+)$/.exec(text) ?? [];
  if ((kind === 'file' || kind === 'mock') && rest !== undefined) return { kind, path: rest };
  if ((kind === 'tcp' || kind === 'udp') && rest !== undefined) {
    const [, bracketed, bare, digits] = /^(?:\[([^\]]+)\]:|([^:[\]\s]+):)?(\d{1,5})$/.exec(rest) ?? [];
    const port = Number(digits);
    // A sender needs a number; a listener may take 0, a free one.
    if (digits !== undefined && port <= 65535 && (port > 0 || kind === 'tcp')) {
      return { kind, host: bracketed ?? bare ?? LOOPBACK, port };
    }
  }
  throw new LodestubError({
    code: 'port.spec',
    path: 'port',
    expected: `one of ${FORMS}`,
    received: `"${text}"`,
    hint: hintFor(text),
  });
}

function hintFor(text: string): string {
  if (/^(tcp|udp):/.test(text)) {
    return 'PORT is a number, up to 65535; an IPv6 address stands in brackets: tcp:[::1]:2000.';
  }
  if (/^\d+$/.test(text)) return `To listen there, write tcp:${text}.`;
  if (/^tty/.test(text)) return `A device is named in full: /dev/${text}.`;
  return 'Without the option it is pty.';
}

/**
 * Opens a port of any kind. Only the chosen kind's packages are loaded.
 * @throws LodestubError as that kind's own function says
 */
export async function openPort(spec: PortSpec, options: PortOptions, listener: PortListener): Promise<ModulePort> {
  switch (spec.kind) {
    case 'pty':
      return (await import('./pty-port.js')).openPtyPort(options, listener);
    case 'serial':
      return (await import('./serial-port.js')).openSerialDevice(spec.path, options.baud, listener);
    case 'tcp':
      return (await import('./tcp-port.js')).openTcpPort(spec, listener);
    case 'udp':
      return (await import('./udp-port.js')).openUdpPort(spec, listener);
    case 'stdout':
      return (await import('./stdout-port.js')).openStdoutPort(listener);
    case 'file':
      return (await import('./file-port.js')).openFilePort(spec.path, listener, options);
    case 'mock':
      return (await import('./mock-port.js')).openMockPort(spec.path, listener);
    case 'memory':
      return (await import('./memory-port.js')).openMemoryPort(listener);
  }
}
