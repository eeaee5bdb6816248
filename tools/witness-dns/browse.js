// Reads what controllers announce with an independent implementation of multicast DNS, and prints it as one line of JSON
// for each service: instance, host, port, address, texts. Usage: node browse.js TYPE INTERFACE-ADDRESS COUNT
'use strict'
const [type, address, count] = [process.argv[2], process.argv[3], Number(process.argv[4])]
const mdns = require('multicast-dns')({ interface: address, bind: '0.0.0.0', reuseAddr: true })
const found = new Map()
const hosts = new Map()

mdns.on('response', (r) => {
  for (const a of [...r.answers, ...r.additionals]) {
    if (a.type === 'A') hosts.set(a.name.toLowerCase(), a.data)
    if (a.type === 'PTR' && a.name.toLowerCase() === type) entry(a.data)
    if (a.type === 'SRV') Object.assign(entry(a.name), { host: a.data.target, port: a.data.port, life: a.ttl, flush: a.flush })
    if (a.type === 'TXT') entry(a.name).text = a.data.map((b) => b.toString()).sort()
  }
  const done = [...found.values()].filter((e) => e.name.endsWith(type) && e.port && e.text && hosts.has(e.host.toLowerCase()))
  if (done.length >= count) {
    for (const e of done.sort((x, y) => (x.name < y.name ? -1 : 1))) console.log(JSON.stringify({ ...e, address: hosts.get(e.host.toLowerCase()) }))
    mdns.destroy(() => process.exit(0))
  }
})

function entry (name) {
  if (!found.has(name)) found.set(name, { name })
  return found.get(name)
}

const ask = () => mdns.query({ questions: [{ name: type, type: 'PTR' }] })
mdns.on('ready', ask)
setInterval(ask, 1000)
setTimeout(() => { console.error('not all found', [...found.values()]); process.exit(1) }, 8000)
