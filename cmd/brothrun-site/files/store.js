'use strict'
// What both pages have of the phone: the planner, the files, and the worker that keeps the
// page. The files are octets, as the command has them.
globalThis.phone = (() => {
  const at = document.currentScript.dataset, go = new Go()
  const news = new BroadcastChannel('brothrun')

  const text = bytes => { // base64
    let letters = ''
    for (let i = 0; i < bytes.length; i += 32768) letters += String.fromCharCode(...bytes.subarray(i, i + 32768))
    return btoa(letters)
  }
  const octets = text => Uint8Array.from(atob(text), letter => letter.charCodeAt(0))

  async function load() { // packed as it is on a host, or unpacked by the worker
    const found = await fetch(at.planner)
    if (!found.ok) throw new Error(found.status)
    const run = from => WebAssembly.instantiateStreaming(from, go.importObject).then(({ instance }) => { go.run(instance) })
    // As it came, so that the browser may keep what it made of it.
    if (found.headers.get('Content-Type') === 'application/wasm') return run(found)
    const reader = found.body.getReader(), first = await reader.read()
    const body = new ReadableStream({
      start: control => control.enqueue(first.value),
      pull: async control => { const { done, value } = await reader.read(); done ? control.close() : control.enqueue(value) }
    })
    const whole = first.value[0] === 0x1f ? body.pipeThrough(new DecompressionStream('gzip')) : body
    return run(new Response(whole, { headers: { 'Content-Type': 'application/wasm' } }))
  }
  const ready = load()

  // answer is what the planner says, at once; it has to be ready.
  function answer(question, files) {
    const asked = Object.entries(files).filter(([name]) => question.ask === 'calendar' || !name.endsWith('.ics'))
    const named = Object.fromEntries(asked.map(([name, bytes]) => [name, text(bytes)]))
    const { timeZone } = Intl.DateTimeFormat().resolvedOptions()
    return JSON.parse(brothrunAnswer(JSON.stringify({ now: new Date().toISOString(), zone: timeZone, files: named, ...question })))
  }

  const opened = new Promise((resolve, reject) => {
    const asked = indexedDB.open('brothrun', 1)
    asked.onupgradeneeded = () => asked.result.createObjectStore('files')
    asked.onsuccess = () => resolve(asked.result)
    asked.onerror = () => reject(asked.error)
  })

  // within hands all files to work, in one transaction, and keeps those that its answer has.
  async function within(work) {
    await ready
    const base = await opened
    return new Promise((resolve, reject) => {
      const all = base.transaction('files', 'readwrite', { durability: 'strict' }), store = all.objectStore('files')
      let answered
      all.oncomplete = () => {
        if (answered.files) news.postMessage('changed')
        resolve(answered)
      }
      all.onabort = () => reject(all.error ?? new Error('nothing is kept'))
      const names = store.getAllKeys(), contents = store.getAll()
      contents.onsuccess = () => {
        const files = Object.fromEntries(names.result.map((name, i) => [name, contents.result[i]]))
        try {
          answered = work(files)
          for (const [name, content] of Object.entries(answered.files ?? {})) {
            content === null ? store.delete(name) : store.put(typeof content === 'string' ? octets(content) : content, name)
          }
        } catch (wrong) {
          all.abort()
          reject(wrong)
        }
      }
    })
  }

  async function files() {
    const base = await opened
    return new Promise((resolve, reject) => {
      const store = base.transaction('files').objectStore('files'), names = store.getAllKeys(), contents = store.getAll()
      contents.onsuccess = () => resolve(Object.fromEntries(names.result.map((name, i) => [name, contents.result[i]])))
      contents.onerror = () => reject(contents.error)
    })
  }

  // save hands a file to the phone, as a download.
  function save(name, type, bytes) {
    const link = document.createElement('a')
    link.href = URL.createObjectURL(new Blob([bytes], { type }))
    link.download = name
    document.body.append(link)
    link.click()
    link.remove()
    setTimeout(() => URL.revokeObjectURL(link.href), 60000)
  }

  // keep lets the worker keep the page; said is told 'offered', 'kept' or 'online'.
  async function keep(said) {
    const worker = navigator.serviceWorker
    if (!worker) return said('online')
    worker.addEventListener('message', ({ data }) => {
      if (data.taken) location.reload()
      said(data.offered ? 'offered' : 'kept')
    })
    try {
      const registered = await worker.register('sw.js', { updateViaCache: 'none' })
      const look = () => registered.active?.postMessage('look')
      const watch = () => registered.installing?.addEventListener('statechange', ({ target }) => {
        if (target.state === 'redundant' && !registered.active) said('online')
        if (target.state === 'activated') look()
      })
      registered.addEventListener('updatefound', watch)
      worker.addEventListener('controllerchange', look)
      watch()
      const again = () => document.hidden || registered.update().then(look, look) // no network: as it was
      again()
      document.addEventListener('visibilitychange', again)
      phone.take = () => registered.active.postMessage('take')
    } catch { said('online') }
  }

  return { ready, answer, within, files, save, keep, octets, news }
})()
