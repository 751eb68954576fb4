import { theCase } from '../record/record';
import { toothName } from '../record/teeth';
import { named } from '../words/words';
import { partName } from './parts';

/** An edit's label in words: the kind of edit, then what it was made on. */
export function label(l: string): string {
  const [kind = '', ...on] = l.split(' ');
  const part = theCase.value?.design?.parts.find((p) => p.id === on[0]);
  const what = part ? [partName(part)] : on.map((w) => (/^[1-4][1-8]$/.test(w) ? toothName(Number(w)) : w));
  return [named('edit', kind), ...what].join(' ');
}
