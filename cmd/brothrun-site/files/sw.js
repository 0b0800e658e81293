// The lines above are written when the folder is built: the version, and each file with
// the sums it may have. A version is filled whole or not at all. It is used once it is
// chosen: the first at once, each later one by a button.
const prefix = `brothrun ${registration.scope} `
const types = {
  html: 'text/html; charset=utf-8', js: 'text/javascript', css: 'text/css', png: 'image/png',
  webmanifest: 'application/manifest+json', gz: 'application/wasm'
}

const told = async which => (await (await caches.open(prefix)).match(which))?.text()
const tell = async (which, text) => (await caches.open(prefix)).put(which, new Response(text))

async function fetched(file, sums) { // past the HTTP cache, where what that has is not it
  for (const cache of ['default', 'reload']) {
    const answer = await fetch(file === 'index.html' ? './' : file, { cache }), bytes = await answer.arrayBuffer()
    const sum = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes))
    if (answer.ok && sums.includes(Array.from(sum, n => n.toString(16).padStart(2, '0')).join(''))) return bytes
  }
  throw new Error(`${file} is not as it was built`)
}

async function fill() {
  const whole = await caches.open(prefix + version)
  try {
    await Promise.all(Object.entries(files).map(async ([file, sums]) => {
      if (await whole.match(file)) return
      const bytes = await fetched(file, sums), packed = file.endsWith('.gz') && new Uint8Array(bytes)[0] === 0x1f
      const body = packed ? new Blob([bytes]).stream().pipeThrough(new DecompressionStream('gzip')) : bytes
      await whole.put(file, new Response(body, { headers: { 'Content-Type': types[file.split('.').pop()] } }))
    }))
  } catch (wrong) {
    await caches.delete(prefix + version)
    throw wrong
  }
  await tell('ready', version)
  const chosen = await told('chosen')
  if (!chosen || !await caches.has(prefix + chosen)) await tell('chosen', version)
  await tidy()
}

async function tidy() {
  const wanted = ['', await told('ready'), await told('chosen')].map(name => prefix + name)
  for (const name of await caches.keys()) {
    if (name.startsWith(prefix) && !wanted.includes(name)) await caches.delete(name)
  }
}

async function kept(file) {
  const chosen = await told('chosen')
  if (chosen && await caches.has(prefix + chosen)) return (await caches.open(prefix + chosen)).match(file)
}

addEventListener('install', event => event.waitUntil(fill().then(() => skipWaiting())))
addEventListener('activate', event => event.waitUntil(clients.claim()))
addEventListener('fetch', event => {
  const { request } = event, url = new URL(request.url), scope = new URL(registration.scope)
  if (request.method !== 'GET' || url.origin !== scope.origin || !url.pathname.startsWith(scope.pathname)) return
  const file = url.pathname.slice(scope.pathname.length) || 'index.html'
  event.respondWith(kept(file).then(found => found ?? fetch(request)))
})
addEventListener('message', event => event.waitUntil((async () => {
  if (event.data === 'take') {
    await tell('chosen', await told('ready'))
    await tidy()
  }
  event.source.postMessage({ offered: await told('ready') !== await told('chosen'), taken: event.data === 'take' })
})()))
