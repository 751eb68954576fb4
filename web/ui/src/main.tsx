import './style/paper.css';
import './style/rooms.css';
import { render } from 'preact';
import { App } from './app';

const root = document.getElementById('board');
if (root) render(<App />, root);
