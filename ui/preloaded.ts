// A browser learns what a script imports when it has read it. What the first script needs is named in the page itself, so that
// all of it comes at once.

import type { Plugin, Rolldown } from 'vite';

/** Names all that the first script imports, and all that these chunks do, which it fetches in any case. */
export function preloaded(...chunks: string[]): Plugin {
  let base = '/';
  return {
    name: 'preloaded',
    apply: 'build',
    configResolved(config) {
      base = config.base;
    },
    transformIndexHtml: {
      order: 'post',
      handler(_, { bundle = {}, chunk }) {
        const needed = new Set<string>();
        const follow = (file: string): void => {
          const part = bundle[file];
          if (part?.type !== 'chunk' || needed.has(file)) return;
          needed.add(file);
          part.imports.forEach(follow);
        };
        const all = Object.values(bundle).filter((part): part is Rolldown.OutputChunk => part.type === 'chunk');
        for (const part of all) if (part.fileName === chunk?.fileName || chunks.includes(part.name)) follow(part.fileName);
        if (chunk !== undefined) needed.delete(chunk.fileName);
        return [...needed].map((file) => ({
          tag: 'link',
          attrs: { rel: 'modulepreload', crossorigin: true, href: `${base}${file}` },
          injectTo: 'head' as const,
        }));
      },
    },
  };
}
