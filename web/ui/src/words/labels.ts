import { named } from './words';

/** An edit's label in words: the kind of edit, then what it was made on. */
export function label(l: string): string {
  const [kind = '', ...on] = l.split(' ');
  return [named('edit', kind), ...on].join(' ');
}
