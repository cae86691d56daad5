/** Why a serial device cannot be opened, and what it says of it. */
export interface Refusal {
  readonly why: 'missing' | 'denied' | 'busy' | 'failed';
  /** A clause. */
  readonly summary: string;
}

/** Reads out of what serialport says why a device cannot be opened; it has no codes for it. */
export function refusalOf({ message }: Error): Refusal {
  const text = message.trim();
  if (/no such (file|device)|not found/i.test(text)) return { why: 'missing', summary: 'there is no such device' };
  if (/permission denied|operation not permitted/i.test(text)) {
    return { why: 'denied', summary: 'no permission to open it; on Linux its group is often dialout' };
  }
  if (/busy|lock|access denied|temporarily unavailable/i.test(text)) {
    return { why: 'busy', summary: 'another program has it open' };
  }
  const said = text.replace(/^Error:?\s*/, '');
  return { why: 'failed', summary: `it cannot be opened as a serial port (${said})` };
}
