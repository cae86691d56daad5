/** A symmetric matrix of three rows: east, north, up. */
export interface Symmetric {
  readonly ee: number;
  readonly en: number;
  readonly nn: number;
  readonly eu: number;
  readonly nu: number;
  readonly uu: number;
}

/** A determinant smaller than this share of the diagonal's product counts as zero. */
const SINGULAR = 1e-9;

/**
 * The inverse, by cofactors.
 * @param isFlat only east and north: the rest of the inverse is zero
 * @returns false where the matrix is singular to working precision, or not positive definite
 */
export function invert(
  { ee, en, nn, eu, nu, uu }: Symmetric,
  isFlat: boolean,
  out: { -readonly [Key in keyof Symmetric]: number },
): boolean {
  if (isFlat) {
    const flat = ee * nn - en * en;
    if (!(ee > 0 && flat > SINGULAR * ee * nn)) return false;
    out.ee = nn / flat;
    out.en = -en / flat;
    out.nn = ee / flat;
    out.eu = out.nu = out.uu = 0;
    return true;
  }
  const cofactorEe = nn * uu - nu * nu;
  const cofactorEn = eu * nu - en * uu;
  const cofactorEu = en * nu - eu * nn;
  const determinant = ee * cofactorEe + en * cofactorEn + eu * cofactorEu;
  if (!(ee > 0 && cofactorEe > 0 && determinant > SINGULAR * ee * nn * uu)) return false;
  out.ee = cofactorEe / determinant;
  out.en = cofactorEn / determinant;
  out.eu = cofactorEu / determinant;
  out.nn = (ee * uu - eu * eu) / determinant;
  out.nu = (en * eu - ee * nu) / determinant;
  out.uu = (ee * nn - en * en) / determinant;
  return true;
}
