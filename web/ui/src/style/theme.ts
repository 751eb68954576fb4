import { effect, signal } from '@preact/signals';

export type Theme = 'auto' | 'light' | 'dark';

const kept = localStorage.getItem('theme');
export const theme = signal<Theme>(kept === 'light' || kept === 'dark' ? kept : 'auto');

const system = matchMedia('(prefers-color-scheme: dark)');
const systemDark = signal(system.matches);
system.addEventListener('change', () => {
  systemDark.value = system.matches;
});

/** Whether the page is dark now. */
export const dark = signal(false);

effect(() => {
  localStorage.setItem('theme', theme.value);
  dark.value = theme.value === 'dark' || (theme.value === 'auto' && systemDark.value);
  document.documentElement.dataset.theme = dark.value ? 'dark' : 'light';
});
