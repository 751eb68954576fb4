import { about, open } from './record';

/** How teeth are numbered where the case's order goes. */
export const numbering = () => open.value?.numbering ?? 'fdi';

function universal(n: number): string {
  const u = about.value?.teeth.find((x) => x.tooth === n)?.universal;
  return u ? `#${u}` : '';
}

/** A tooth's number as the case's papers write it, as in 34, #21 or LL4. */
export function toothName(n: number): string {
  switch (numbering()) {
    case 'universal':
      return universal(n) || String(n);
    case 'zsigmondy':
      return about.value?.teeth.find((x) => x.tooth === n)?.spoken ?? String(n);
  }
  return String(n);
}

/** The same on a drawing, where it stands at its tooth: short enough for the lower incisors. */
export function toothFigure(n: number): string {
  return numbering() === 'zsigmondy' ? String(n % 10) : toothName(n).replace('#', '');
}

/** The same tooth's number in the other system that dentists meet. */
export function otherName(n: number): string {
  return numbering() === 'fdi' ? universal(n) : String(n);
}

/** Several teeth, one after another. */
export const teethNames = (ns: readonly number[]) => ns.map(toothName).join(' ');
