import '@fontsource/barlow-semi-condensed/latin-500.css'
import '@fontsource/barlow-semi-condensed/latin-600.css'
import '@fontsource/barlow-semi-condensed/latin-700.css'
import './tokens.css'
import './base.css'
import { mount } from 'svelte'
import Root from './Root.svelte'
import { heed } from './state/again'

heed(window)
mount(Root, { target: document.getElementById('page')! })
