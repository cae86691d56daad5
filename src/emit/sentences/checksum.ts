const HEX = '0123456789ABCDEF';

/** Exclusive or of a sentence's characters between `$` and `*`, as two upper-case hexadecimal digits. */
export function checksum(body: string): string {
  let sum = 0;
  for (let i = 0; i < body.length; i++) sum ^= body.charCodeAt(i);
  return `${HEX[(sum >> 4) & 15]}${HEX[sum & 15]}`;
}

/** A whole sentence without its CR LF: `$…*hh`. */
export function frame(body: string): string {
  return `$${body}*${checksum(body)}`;
}
