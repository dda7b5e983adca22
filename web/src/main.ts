import './styles/font.css';
import './styles/tokens.css';
import './styles/base.css';
import { mount } from 'svelte';
import App from './App.svelte';
import { theme } from './shell/theme.svelte';

theme.follow();
const target = document.getElementById('page');
if (target) mount(App, { target });
