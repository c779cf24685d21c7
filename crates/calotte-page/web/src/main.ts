import { mount } from 'svelte';
import Page from './Page.svelte';
import './look.css';

const target = document.getElementById('page');
if (target) mount(Page, { target });
