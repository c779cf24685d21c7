import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vite';

// The page is served from one origin by the program that embeds it, so that
// every address is relative to the root and nothing is fetched from elsewhere.
export default defineConfig({
  plugins: [svelte()],
  build: {
    target: 'es2022',
    outDir: 'dist',
    emptyOutDir: true,
    assetsInlineLimit: 0,
    license: true,
    chunkSizeWarningLimit: 1200,
  },
});
