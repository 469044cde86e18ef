// What makes the pages an app of its own in a browser: the core beside them, a manifest with icons, a policy, and a service worker
// that keeps every file of one version together.

import { createHash } from 'node:crypto';
import { copyFileSync, existsSync, mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join, relative, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Plugin } from 'vite';

const HERE = fileURLToPath(new URL('.', import.meta.url));
const CORE = process.env.SOLDERLAST_PAGE_CORE ?? join(HERE, '../../target/page-core-page-release');

const POLICY =
  "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; " +
  "connect-src 'self'; media-src 'self' blob:; worker-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'";

/** What begins the worker before anything else of the page is here. */
const EARLY = join(HERE, '../src/page/early.ts');

function filesIn(folder: string): string[] {
  return readdirSync(folder)
    .flatMap((name) => {
      const path = join(folder, name);
      return statSync(path).isDirectory() ? filesIn(path) : [path];
    })
    .sort();
}

/** Lays all that beside the built pages. */
export function installable(): Plugin {
  let out = '';
  return {
    name: 'installable',
    apply: 'build',
    configResolved(config) {
      out = resolve(config.root, config.build.outDir);
    },
    buildStart() {
      this.emitFile({ type: 'chunk', id: EARLY, preserveSignature: false });
    },
    transformIndexHtml: {
      order: 'post',
      handler(_, { bundle = {} }) {
        const early = Object.values(bundle).find((part) => part.type === 'chunk' && part.moduleIds.includes(EARLY));
        if (early === undefined) throw new Error('The worker would begin late.');
        return [
          { tag: 'meta', attrs: { 'http-equiv': 'Content-Security-Policy', content: POLICY }, injectTo: 'head-prepend' },
          { tag: 'script', attrs: { type: 'module', async: true, crossorigin: true, src: `./${early.fileName}` }, injectTo: 'head-prepend' },
          { tag: 'link', attrs: { rel: 'manifest', href: './app.webmanifest' }, injectTo: 'head' },
          { tag: 'link', attrs: { rel: 'apple-touch-icon', href: './icons/180.png' }, injectTo: 'head' },
        ];
      },
    },
    closeBundle() {
      if (!existsSync(CORE)) throw new Error('The core is not built yet: run make page.');
      for (const [from, to] of [[CORE, 'core'], [join(HERE, 'icons'), 'icons']] as const) {
        mkdirSync(join(out, to), { recursive: true });
        for (const file of filesIn(from)) copyFileSync(file, join(out, to, relative(from, file)));
      }
      copyFileSync(join(HERE, 'app.webmanifest'), join(out, 'app.webmanifest'));
      const files = filesIn(out).map((file) => relative(out, file).replaceAll('\\', '/'));
      const version = createHash('sha256');
      for (const file of files) version.update(`${file}\n`).update(readFileSync(join(out, file)));
      const worker = readFileSync(join(HERE, 'sw.js'), 'utf8')
        .replace('VERSION_OF_THESE_FILES', version.digest('hex').slice(0, 16))
        .replace('["LIST_OF_THESE_FILES"]', JSON.stringify(files))
        .replace('POLICY_OF_THESE_FILES', POLICY);
      writeFileSync(join(out, 'sw.js'), worker);
    },
  };
}
