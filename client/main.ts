import { createApp } from 'vue'
import App from './App.vue'
import './style/base.css'

createApp(App).mount('#app')
