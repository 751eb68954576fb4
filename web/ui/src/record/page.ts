import { signal } from '@preact/signals';

/** Which sheet of the design is shown, from 1. */
export const page = signal(1);
