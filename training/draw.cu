// Draws a batch of small pictures of people in the air: one source for a graphics card (nvcc) and for any processor (g++).
// Stages: skin (bodies posed), raster (which triangle is in front), shade (clothes, light), compose (room, blur, other people),
// shrink (the camera's own few pixels, noise), blocks (compression), picture (what the network sees), labels (where joints are).
// The layout of the parameters comes from scenes.py as P_* numbers.
#include <cmath>
#include <cstdint>
#include "layout.h"
#ifdef __CUDACC__
#include <cuda_fp16.h>
#define DEV __device__ __forceinline__
#else
#define DEV static inline
#endif
typedef unsigned long long u64;
struct F3 { float x, y, z; };
DEV F3 f3(float x, float y, float z) { F3 r; r.x = x; r.y = y; r.z = z; return r; }
DEV F3 operator+(F3 a, F3 b) { return f3(a.x + b.x, a.y + b.y, a.z + b.z); }
DEV F3 operator-(F3 a, F3 b) { return f3(a.x - b.x, a.y - b.y, a.z - b.z); }
DEV F3 operator*(F3 a, float k) { return f3(a.x * k, a.y * k, a.z * k); }
DEV F3 mul(F3 a, F3 b) { return f3(a.x * b.x, a.y * b.y, a.z * b.z); }
DEV float dot(F3 a, F3 b) { return a.x * b.x + a.y * b.y + a.z * b.z; }
DEV F3 cross(F3 a, F3 b) { return f3(a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x); }
DEV F3 unit(F3 a) { return a * (1.0f / sqrtf(dot(a, a) + 1e-12f)); }
DEV F3 mix(F3 a, F3 b, float t) { return a + (b - a) * t; }
DEV float lerp1(float a, float b, float t) { return a + (b - a) * t; }
DEV float clamp(float v, float lo, float hi) { return v < lo ? lo : v > hi ? hi : v; }
DEV float step1(float lo, float hi, float v) { float t = clamp((v - lo) / (hi - lo), 0, 1); return t * t * (3 - 2 * t); }
DEV uint32_t hash(uint32_t a) { a ^= a >> 16; a *= 0x7feb352dU; a ^= a >> 15; a *= 0x846ca68bU; a ^= a >> 16; return a; }
DEV uint32_t hash3(int x, int y, int z, uint32_t s) { return hash((uint32_t)x * 73856093U ^ hash((uint32_t)y * 19349663U ^ hash((uint32_t)z * 83492791U ^ s))); }
DEV float rnd(uint32_t h) { return (h >> 8) * (1.0f / 16777216.0f); }
DEV float noise2(float x, float y, uint32_t s) {
  float fx = floorf(x), fy = floorf(y); int i = (int)fx, j = (int)fy; x -= fx; y -= fy; x = x * x * (3 - 2 * x); y = y * y * (3 - 2 * y);
  float a = rnd(hash3(i, j, 0, s)), b = rnd(hash3(i + 1, j, 0, s)), c = rnd(hash3(i, j + 1, 0, s)), d = rnd(hash3(i + 1, j + 1, 0, s));
  return lerp1(lerp1(a, b, x), lerp1(c, d, x), y);
}
DEV float noise3(F3 p, uint32_t s) {
  float fz = floorf(p.z); int k = (int)fz; float t = p.z - fz; t = t * t * (3 - 2 * t);
  return lerp1(noise2(p.x, p.y, s + 7919U * (uint32_t)k), noise2(p.x, p.y, s + 7919U * (uint32_t)(k + 1)), t);
}
DEV float fbm2(float x, float y, uint32_t s, int octaves) {
  float v = 0, a = 0.5f; for (int o = 0; o < octaves; o++) { v += a * noise2(x, y, s + o * 101U); x = x * 2.03f + 17; y = y * 2.03f + 5; a *= 0.5f; } return v;
}

struct Ctx {
  int B, V, T, K;                     // pictures, vertices, triangles, joints
  const float *P, *prims, *M, *Q;     // (B,NP) (B,NPRIM,NPF) (B,21,12) (B,21,8)
  const float *mean, *off, *normal;   // (V,3) (people,V,3) (V,3)
  const int *bone, *tri; const float *share;   // (V,4) (T,3) (V,4)
  const int *kind; const float *place;         // (V) (V) where along the torso, arm, leg or head
  const int *rstart, *rvert; const float *rw;  // the joints as sums over vertices, sparse
  float *body, *cloth, *nrm;          // (B,V,3): skin, skin with clothes, normals, all in the camera's frame
  u64 *z;                             // (B,R,R)
  uint8_t *front;                     // (B,R,R,4)
  float *room, *small_, *coded;       // (B,S,S,3) (B,S,S,3) (B,S,S,3)
  void *out;                          // (B,S,S,3) half on a card, float on a processor
  float *joints, *seen;               // (B,K,2) px of the picture, (B,K)
};
#define R RASTER
#define S PICTURE
#define PAR(name) p[P_##name]
#define RGB(name) f3(p[P_##name], p[P_##name + 1], p[P_##name + 2])

DEV float loose(const float* p, int kind, float s, F3 rest, bool& top, bool& bottom) {  // how far cloth stands off, m
  top = PAR(TOP) > 0.5f && ((kind == TORSO && s > PAR(TOP_FROM) && s < PAR(TOP_TO)) || (kind == ARM && s < PAR(SLEEVE)) || (kind == LEG && s < PAR(TOP_FROM) + 0.0f && PAR(TOP_FROM) < 0.1f && s < PAR(CUT)));
  bottom = PAR(BOTTOM) > 0.5f && ((kind == TORSO && s < PAR(WAIST)) || (kind == LEG && s < PAR(LEGS)));
  float n = noise3(rest * PAR(FOLD_FREQ), (uint32_t)PAR(SEED));
  if (bottom && !(top && PAR(TOP_OVER) > 0.5f)) return PAR(BOTTOM_LOOSE) * (0.3f + 0.9f * n) * (kind == LEG ? 0.5f + 0.6f * clamp(s / (PAR(LEGS) + 0.01f), 0, 1) : 0.5f);
  if (top) return PAR(TOP_LOOSE) * (0.3f + 0.9f * n) * (kind == ARM ? 0.6f : 0.5f + 0.6f * clamp((PAR(TOP_TO) - s) / 0.6f, 0, 1));
  return 0.0f;
}

DEV void skin_item(int b, long v, const Ctx& c) {
  const float* p = c.P + (long)b * NP;
  const float *a0 = c.off + ((long)PAR(BODY_A) * c.V + v) * 3, *a1 = c.off + ((long)PAR(BODY_B) * c.V + v) * 3;
  float w = PAR(BODY_MIX);
  F3 mean = f3(c.mean[v * 3], c.mean[v * 3 + 1], c.mean[v * 3 + 2]);
  F3 rest = mean + f3(lerp1(a0[0], a1[0], w), lerp1(a0[1], a1[1], w), lerp1(a0[2], a1[2], w));
  F3 n0 = f3(c.normal[v * 3], c.normal[v * 3 + 1], c.normal[v * 3 + 2]);
  F3 lbs = f3(0, 0, 0), n = f3(0, 0, 0);
  float q[8] = {0, 0, 0, 0, 0, 0, 0, 0};
  const float* first = 0;
  for (int k = 0; k < 4; k++) {
    float s = c.share[v * 4 + k]; if (s <= 0) continue;
    int bone = c.bone[v * 4 + k];
    const float *m = c.M + ((long)b * 21 + bone) * 12, *d = c.Q + ((long)b * 21 + bone) * 8;
    lbs = lbs + f3(m[0] * rest.x + m[1] * rest.y + m[2] * rest.z + m[3], m[4] * rest.x + m[5] * rest.y + m[6] * rest.z + m[7], m[8] * rest.x + m[9] * rest.y + m[10] * rest.z + m[11]) * s;
    n = n + f3(m[0] * n0.x + m[1] * n0.y + m[2] * n0.z, m[4] * n0.x + m[5] * n0.y + m[6] * n0.z, m[8] * n0.x + m[9] * n0.y + m[10] * n0.z) * s;
    if (!first) first = d;
    float sign = first[0] * d[0] + first[1] * d[1] + first[2] * d[2] + first[3] * d[3] < 0 ? -s : s;
    for (int j = 0; j < 8; j++) q[j] += sign * d[j];
  }
  float len = 1.0f / sqrtf(q[0] * q[0] + q[1] * q[1] + q[2] * q[2] + q[3] * q[3] + 1e-12f);
  for (int j = 0; j < 8; j++) q[j] *= len;
  F3 u = f3(q[1], q[2], q[3]), e = f3(q[5], q[6], q[7]);
  F3 dqs = rest + cross(u, cross(u, rest) + rest * q[0]) * 2 + (e * q[0] - u * q[4] + cross(u, e)) * 2;
  F3 at = mix(lbs, dqs, PAR(BULGE));
  n = unit(n);
  bool top, bottom;
  float stand = loose(p, c.kind[v], c.place[v], mean, top, bottom);
  F3 worn = at + n * (stand + 0.002f) + RGB(FLOW) * (stand * 10.0f);
  if (c.kind[v] == HEAD && PAR(BUN) > 0) {
    F3 away = mean - RGB(BUN_AT);
    worn = worn + (n * PAR(BUN) + RGB(TAIL)) * expf(-dot(away, away) * PAR(BUN_TIGHT));
  }
  long o = ((long)b * c.V + v) * 3;
  c.body[o] = at.x; c.body[o + 1] = at.y; c.body[o + 2] = at.z;
  c.cloth[o] = worn.x; c.cloth[o + 1] = worn.y; c.cloth[o + 2] = worn.z;
  c.nrm[o] = n.x; c.nrm[o + 1] = n.y; c.nrm[o + 2] = n.z;
}

struct Corner { float x[3], y[3], iz[3]; int v[3]; };
DEV Corner corner(const Ctx& c, const float* p, int b, long t) {
  Corner r;
  for (int k = 0; k < 3; k++) {
    r.v[k] = c.tri[t * 3 + k];
    const float* a = c.cloth + ((long)b * c.V + r.v[k]) * 3;
    r.iz[k] = 1.0f / fmaxf(a[2], 0.05f);
    r.x[k] = (PAR(FOCAL) * a[0] * r.iz[k] + PAR(CENTRE_X)) * ((float)R / S);
    r.y[k] = (PAR(FOCAL) * a[1] * r.iz[k] + PAR(CENTRE_Y)) * ((float)R / S);
  }
  return r;
}
DEV void raster_item(int b, long t, const Ctx& c) {
  const float* p = c.P + (long)b * NP;
  Corner k = corner(c, p, b, t);
  int x0 = (int)floorf(fminf(fminf(k.x[0], k.x[1]), k.x[2])), x1 = (int)ceilf(fmaxf(fmaxf(k.x[0], k.x[1]), k.x[2]));
  int y0 = (int)floorf(fminf(fminf(k.y[0], k.y[1]), k.y[2])), y1 = (int)ceilf(fmaxf(fmaxf(k.y[0], k.y[1]), k.y[2]));
  if (x0 < 0) x0 = 0; if (y0 < 0) y0 = 0; if (x1 > R - 1) x1 = R - 1; if (y1 > R - 1) y1 = R - 1;
  float area = (k.x[1] - k.x[0]) * (k.y[2] - k.y[0]) - (k.x[2] - k.x[0]) * (k.y[1] - k.y[0]);
  if (fabsf(area) < 1e-8f) return;
  float inv = 1.0f / area;
  for (int y = y0; y <= y1; y++) for (int x = x0; x <= x1; x++) {
    float px = x + 0.5f, py = y + 0.5f;
    float w1 = ((px - k.x[0]) * (k.y[2] - k.y[0]) - (k.x[2] - k.x[0]) * (py - k.y[0])) * inv;
    float w2 = ((k.x[1] - k.x[0]) * (py - k.y[0]) - (px - k.x[0]) * (k.y[1] - k.y[0])) * inv;
    float w0 = 1 - w1 - w2;
    if (w0 < 0 || w1 < 0 || w2 < 0) continue;
    float depth = 1.0f / (w0 * k.iz[0] + w1 * k.iz[1] + w2 * k.iz[2]);
    union { float f; uint32_t u; } bits; bits.f = depth;
    u64 key = ((u64)bits.u << 32) | (u64)t, *cell = c.z + ((long)b * R + y) * R + x;
#ifdef __CUDACC__
    atomicMin(cell, key);
#else
    if (key < *cell) *cell = key;
#endif
  }
}
DEV float depth_at(const Ctx& c, int b, int x, int y) {
  if (x < 0 || y < 0 || x >= R || y >= R) return 1e9f;
  u64 key = c.z[((long)b * R + y) * R + x];
  if (key == ~0ULL) return 1e9f;
  union { float f; uint32_t u; } bits; bits.u = (uint32_t)(key >> 32); return bits.f;
}

DEV F3 cloth_colour(const float* p, int which, F3 at, float s, uint32_t seed) {  // which: 0 top, 1 bottom
  const float* q = p + (which ? P_CLOTH_B : P_CLOTH_A);  // rgb rgb kind freq dirx diry dirz
  F3 one = f3(q[0], q[1], q[2]), two = f3(q[3], q[4], q[5]);
  float a = dot(at, f3(q[8], q[9], q[10])) * q[7], m = 0;
  int kind = (int)q[6];
  if (kind == 1) m = sinf(a * 6.2832f) > 0 ? 1.0f : 0.0f;
  else if (kind == 2) m = at.x > 0 ? 1.0f : 0.0f;
  else if (kind == 3) m = step1(0.45f, 0.55f, noise3(at * q[7], seed + 3));
  else if (kind == 4) m = clamp(a * 0.3f + 0.5f, 0, 1);
  else if (kind == 5) m = s > 0.5f ? 1.0f : 0.0f;
  else if (kind == 6) m = fabsf(at.x) > 0.09f ? 1.0f : 0.0f;
  else if (kind == 7) m = noise3(at * q[7] * 4, seed + 9) > 0.75f ? 1.0f : 0.0f;
  return mix(one, two, m) * (0.85f + 0.3f * noise3(at * 45, seed + 5));
}

DEV void shade_item(int b, long i, const Ctx& c) {
  const float* p = c.P + (long)b * NP;
  int y = (int)(i / R), x = (int)(i % R);
  uint8_t* o = c.front + ((long)b * R * R + i) * 4;
  u64 key = c.z[(long)b * R * R + i];
  if (key == ~0ULL) { o[0] = o[1] = o[2] = o[3] = 0; return; }
  long t = (long)(key & 0xffffffffULL);
  float depth = depth_at(c, b, x, y);
  Corner k = corner(c, p, b, t);
  float inv = 1.0f / ((k.x[1] - k.x[0]) * (k.y[2] - k.y[0]) - (k.x[2] - k.x[0]) * (k.y[1] - k.y[0])), px = x + 0.5f, py = y + 0.5f;
  float w[3];
  w[1] = ((px - k.x[0]) * (k.y[2] - k.y[0]) - (k.x[2] - k.x[0]) * (py - k.y[0])) * inv;
  w[2] = ((k.x[1] - k.x[0]) * (py - k.y[0]) - (px - k.x[0]) * (k.y[1] - k.y[0])) * inv;
  w[0] = 1 - w[1] - w[2];
  F3 n = f3(0, 0, 0), at = f3(0, 0, 0), corners[3]; float s = 0; int best = 0;
  for (int j = 0; j < 3; j++) {
    w[j] *= k.iz[j] * depth;
    const float* a = c.nrm + ((long)b * c.V + k.v[j]) * 3; const float* m = c.mean + (long)k.v[j] * 3;
    const float* q = c.cloth + ((long)b * c.V + k.v[j]) * 3;
    n = n + f3(a[0], a[1], a[2]) * w[j]; at = at + f3(m[0], m[1], m[2]) * w[j]; corners[j] = f3(q[0], q[1], q[2]);
    s += c.place[k.v[j]] * w[j]; if (w[j] > w[best]) best = j;
  }
  int kind = c.kind[k.v[best]];
  F3 flat = unit(cross(corners[1] - corners[0], corners[2] - corners[0]));
  if (flat.z > 0) flat = flat * -1.0f;
  n = unit(n); if (dot(n, flat) < 0) n = n * -1.0f;
  n = unit(mix(n, flat, PAR(FACET)));
  uint32_t seed = (uint32_t)PAR(SEED);
  bool top, bottom; loose(p, kind, s, at, top, bottom);
  float blotch = noise3(at * 18, seed + 1) - 0.5f, wrinkle = noise3(at * PAR(FOLD_FREQ) * 2.5f, seed + 2) - 0.5f;
  F3 colour; bool cloth = true;
  if (bottom && !(top && PAR(TOP_OVER) > 0.5f)) colour = cloth_colour(p, 1, at, s, seed + 40);
  else if (top) colour = cloth_colour(p, 0, at, s, seed);
  else if (kind == LEG && s > PAR(SOCK)) colour = RGB(SOCK_RGB);
  else {
    cloth = false;
    colour = RGB(SKIN) * (1 + 0.25f * blotch);
    if (kind == HEAD) {
      F3 h = at - f3(HEAD_X, HEAD_Y, HEAD_Z);
      float line = h.z - PAR(HAIRLINE) + 0.9f * h.y + 0.01f * blotch;
      F3 away = at - RGB(BUN_AT);
      if (PAR(HAIR) > 0.5f && (line > 0 || (PAR(BUN) > 0 && dot(away, away) * PAR(BUN_TIGHT) < 2))) colour = RGB(HAIR_RGB) * (0.8f + 0.5f * noise3(f3(at.x * 150, at.y * 30, at.z * 30), seed + 6));
      else if (h.y < -0.05f && fabsf(h.z - 0.012f) < 0.012f && fabsf(fabsf(h.x) - 0.03f) < 0.013f) colour = colour * 0.35f;
      else if (h.y < -0.05f && fabsf(h.z + 0.062f) < 0.008f && fabsf(h.x) < 0.022f) colour = mul(colour, f3(0.8f, 0.45f, 0.45f));
    }
  }
  if (cloth) n = unit(n + f3(wrinkle, noise3(at * PAR(FOLD_FREQ) * 2.5f + f3(9, 2, 4), seed + 8) - 0.5f, 0) * PAR(WRINKLE));
  float open = 0; int total = 0;
  for (int r = 0; r < 2; r++) for (int d = 0; d < 6; d++) {
    float far = (r ? 15.0f : 6.0f) * PAR(REACH), ang = d * 1.0472f + r * 0.5f;
    float dz = depth - depth_at(c, b, x + (int)(far * cosf(ang)), y + (int)(far * sinf(ang)));
    total++; if (dz > 0.02f && dz < 0.35f) open += 1.0f;
  }
  float shut = 1 - PAR(CONTACT) * open / total;
  F3 l = RGB(LIGHT), l2 = RGB(LIGHT_B), up = RGB(UP);
  float key1 = fmaxf(0, (dot(n, l) + PAR(WRAP)) / (1 + PAR(WRAP))), fill = fmaxf(0, dot(n, l2));
  float amount = (PAR(AMBIENT) + PAR(HEMI) * (0.5f + 0.5f * dot(n, up))) * shut + PAR(KEY) * key1 * (0.5f + 0.5f * shut) + PAR(FILL) * fill;
  F3 half = unit(l + f3(0, 0, -1)); float shine = powf(fmaxf(0, dot(n, half)), 24) * (cloth ? PAR(GLOSS) : PAR(GLOSS) * 0.4f);
  colour = mul(colour, RGB(LIGHT_RGB)) * amount + f3(shine, shine, shine);
  o[0] = (uint8_t)(clamp(colour.x, 0, 1) * 255); o[1] = (uint8_t)(clamp(colour.y, 0, 1) * 255); o[2] = (uint8_t)(clamp(colour.z, 0, 1) * 255); o[3] = 255;
}

DEV void texel(const Ctx& c, int b, float x, float y, float gain, float* rgba) {  // premultiplied, added to rgba
  x -= 0.5f; y -= 0.5f; int x0 = (int)floorf(x), y0 = (int)floorf(y); float fx = x - x0, fy = y - y0;
  for (int dy = 0; dy < 2; dy++) for (int dx = 0; dx < 2; dx++) {
    int xx = x0 + dx, yy = y0 + dy; if (xx < 0 || yy < 0 || xx >= R || yy >= R) continue;
    const uint8_t* o = c.front + (((long)b * R + yy) * R + xx) * 4;
    if (!o[3]) continue;
    float w = (dx ? fx : 1 - fx) * (dy ? fy : 1 - fy) * gain;
    rgba[0] += w * o[0] / 255.0f; rgba[1] += w * o[1] / 255.0f; rgba[2] += w * o[2] / 255.0f; rgba[3] += w;
  }
}
DEV float prim_alpha(const float* q, float x, float y, uint32_t seed, F3& colour) {  // q: one thing of the room, x y in pictures
  float dx = x - q[1], dy = y - q[2], cs = cosf(q[5]), sn = sinf(q[5]);
  float u = dx * cs + dy * sn, v = -dx * sn + dy * cs, soft = q[9] + 0.003f, a = 0;
  int kind = (int)q[0];
  if (kind == 1 || kind == 4 || kind == 5) { float d = fmaxf(fabsf(u) - q[3], fabsf(v) - q[4]); a = 1 - step1(-soft, soft, d); }
  else if (kind == 2 || kind == 6) { float r = sqrtf(u * u / (q[3] * q[3]) + v * v / (q[4] * q[4])); r += 0.4f * q[10] * 0.02f * (noise2(u * 9, v * 9, seed) - 0.5f); a = 1 - step1(1 - soft * 4, 1 + soft * 4, r); if (kind == 6) { a = expf(-r * r * 1.5f); } }
  else if (kind == 3) { float t = clamp(u, -q[3], q[3]), d = sqrtf((u - t) * (u - t) + v * v) - q[4]; a = 1 - step1(-soft, soft, d); }
  if (a <= 0) return 0;
  if (kind == 4) { float g = q[10], gu = u * g - floorf(u * g), gv = v * g - floorf(v * g); a *= (gu < 0.16f || gv < 0.16f) ? 1.0f : 0.0f; }     // a net
  if (kind == 5) { float g = q[10], gu = v * g - floorf(v * g); colour = colour * (gu < 0.5f ? 1.0f : 0.62f); }                                // boards, bars
  else if (kind == 3) colour = colour * (0.7f + 0.5f * (1 - fabsf(v) / q[4]));
  else colour = colour * (0.75f + 0.5f * fbm2(u * q[10], v * q[10], seed, 3));
  return a * q[12];
}
DEV F3 room_at(const float* p, float x, float y) {  // x y in pictures, from the middle
  float cs = cosf(PAR(ROLL)), sn = sinf(PAR(ROLL)), u = x * cs + y * sn, v = -x * sn + y * cs;
  uint32_t seed = (uint32_t)PAR(SEED) + 77;
  float floor_ = step1(-PAR(EDGE), PAR(EDGE), v - PAR(HORIZON));
  float g = PAR(WALL_FREQ), n = fbm2(u * g + 31, v * g + 11, seed, 5) - 0.48f, m = fbm2(u * g * 0.7f + 3, v * g * 0.7f + 40, seed + 11, 4) - 0.47f, k = fbm2(u * g * 1.3f, v * g * 1.3f + 90, seed + 23, 4) - 0.47f;
  F3 wall = RGB(WALL) + f3(n, m, k) * PAR(WALL_COLOUR) + f3(n, n, n) * PAR(WALL_GREY);
  int kind = (int)PAR(WALL_KIND);
  float q = PAR(PANEL);
  if (kind == 1) { float a = u * q - floorf(u * q), bb = v * q * 2 - floorf(v * q * 2); if (a < 0.06f || bb < 0.08f) wall = wall * PAR(JOINT); }
  else if (kind == 2) { float a = u * q - floorf(u * q); wall = wall * (a < 0.5f ? 1.0f : PAR(JOINT)); }
  else if (kind == 3) { int i = (int)floorf(u * q * 3), j = (int)floorf(v * q * 3); uint32_t h = hash3(i, j, 1, seed); F3 crowd = f3(rnd(h), rnd(hash(h + 1)), rnd(hash(h + 2))); wall = mix(wall, crowd, PAR(CROWD)); }
  else if (kind == 4) { float a = u * q - floorf(u * q), bb = v * q - floorf(v * q); if (a > 0.2f && a < 0.8f && bb > 0.25f && bb < 0.8f) wall = mix(wall, f3(1, 1, 1), PAR(CROWD)); }
  float fy = 1.0f / (0.25f + fmaxf(0, v - PAR(HORIZON))), grain = fbm2(u * fy * 3, fy * 9, seed + 31, 4) - 0.48f;
  F3 ground = RGB(FLOOR) + f3(grain, grain, grain) * PAR(WALL_GREY);
  if (PAR(BOARDS) > 0) { float a = (u * fy) * PAR(BOARDS); ground = ground * (a - floorf(a) < 0.1f ? 0.7f : 1.0f); }
  F3 all = mix(wall, ground, floor_);
  return all * (1 + PAR(SLOPE_X) * u + PAR(SLOPE_Y) * v);
}

DEV void compose_item(int b, long i, const Ctx& c) {
  const float* p = c.P + (long)b * NP; const float* pr = c.prims + (long)b * NPRIM * NPF;
  int y = (int)(i / S), x = (int)(i % S);
  uint32_t seed = (uint32_t)PAR(SEED);
  float u = (x + 0.5f) / S - 0.5f, v = (y + 0.5f) / S - 0.5f;
  F3 all = room_at(p, u, v);
  for (int k = 0; k < NPRIM; k++) { const float* q = pr + k * NPF; if (q[0] < 0.5f || q[11] > 0.5f) continue; F3 col = f3(q[6], q[7], q[8]); float a = prim_alpha(q, u, v, seed + k, col); if (a > 0) all = mix(all, col, a); }
  float k = (float)R / S;
  for (int d = 0; d < 2; d++) {
    const float* q = p + P_OTHERS + d * 8;  // on, which, scale, turn, x, y, light, in front
    for (int far = 0; far < 1; far++) if (q[0] > 0.5f && q[7] < 0.5f) {
      int o = (int)((b + (int)q[1]) % c.B); float cs = cosf(q[3]), sn = sinf(q[3]), ux = (u - q[4]) / q[2], vy = (v - q[5]) / q[2], rgba[4] = {0, 0, 0, 0};
      texel(c, o, ((ux * cs + vy * sn) + 0.5f) * R, ((-ux * sn + vy * cs) + 0.5f) * R, 1, rgba);
      all = all * (1 - rgba[3]) + f3(rgba[0], rgba[1], rgba[2]) * q[6];
    }
  }
  if (PAR(SHADOW) > 0) { float rgba[4] = {0, 0, 0, 0}; for (int j = 0; j < 5; j++) texel(c, b, (x + 0.5f + PAR(SHADOW_X) + 2.5f * (j - 2)) * k, (y + 0.5f + PAR(SHADOW_Y) + 2.5f * ((j * 2) % 5 - 2)) * k, 0.2f, rgba); all = all * (1 - PAR(SHADOW) * rgba[3]); }
  float rgba[4] = {0, 0, 0, 0}; int many = (int)PAR(SAMPLES);
  for (int j = 0; j < many; j++) {
    float t = many > 1 ? ((float)j + rnd(hash3(x, y, j, seed)) * 0.8f + 0.1f) / many - 0.5f : 0, a = PAR(SPIN) * t, cs = cosf(a), sn = sinf(a);
    float dx = x + 0.5f - PAR(PIVOT_X) - PAR(MOVE_X) * t, dy = y + 0.5f - PAR(PIVOT_Y) - PAR(MOVE_Y) * t;
    texel(c, b, (PAR(PIVOT_X) + dx * cs + dy * sn) * k, (PAR(PIVOT_Y) - dx * sn + dy * cs) * k, 1.0f / many, rgba);
  }
  all = all * (1 - rgba[3]) + f3(rgba[0], rgba[1], rgba[2]);
  for (int d = 0; d < 2; d++) {
    const float* q = p + P_OTHERS + d * 8;
    if (q[0] > 0.5f && q[7] > 0.5f) {
      int o = (int)((b + (int)q[1]) % c.B); float cs = cosf(q[3]), sn = sinf(q[3]), ux = (u - q[4]) / q[2], vy = (v - q[5]) / q[2], r2[4] = {0, 0, 0, 0};
      texel(c, o, ((ux * cs + vy * sn) + 0.5f) * R, ((-ux * sn + vy * cs) + 0.5f) * R, 1, r2);
      all = all * (1 - r2[3]) + f3(r2[0], r2[1], r2[2]) * q[6];
    }
  }
  for (int m = 0; m < NPRIM; m++) { const float* q = pr + m * NPF; if (q[0] < 0.5f || q[11] < 0.5f) continue; F3 col = f3(q[6], q[7], q[8]); float a = prim_alpha(q, u, v, seed + m, col); if (a > 0) all = mix(all, col, a); }
  float dim = 1 - PAR(VIGNETTE) * (u * u + v * v);
  all = mul(all * dim, RGB(GAIN));
  all = f3(powf(clamp(all.x, 0, 1), PAR(GAMMA)), powf(clamp(all.y, 0, 1), PAR(GAMMA)), powf(clamp(all.z, 0, 1), PAR(GAMMA)));
  float grey = 0.3f * all.x + 0.59f * all.y + 0.11f * all.z;
  all = f3(grey, grey, grey) + (all - f3(grey, grey, grey)) * PAR(SATURATION) ;
  float* o = c.room + ((long)b * S * S + i) * 3; o[0] = clamp(all.x, 0, 1); o[1] = clamp(all.y, 0, 1); o[2] = clamp(all.z, 0, 1);
}

DEV float gauss(uint32_t h) { return rnd(h) + rnd(hash(h + 17U)) + rnd(hash(h + 31U)) + rnd(hash(h + 57U)) - 2.0f; }  // standard deviation 0.58
DEV void shrink_item(int b, long i, const Ctx& c) {  // the camera's own pixels: n to a side, then noise
  const float* p = c.P + (long)b * NP; int n = (int)PAR(NATIVE), y = (int)(i / S), x = (int)(i % S);
  if (x >= n || y >= n) return;
  float scale = (float)S / n, sum[3] = {0, 0, 0}, all = 0, half = 0.5f * scale * PAR(LENS), cx = (x + 0.5f) * scale, cy = (y + 0.5f) * scale;
  int x0 = (int)floorf(cx - half - 0.5f), x1 = (int)ceilf(cx + half - 0.5f), y0 = (int)floorf(cy - half - 0.5f), y1 = (int)ceilf(cy + half - 0.5f);
  for (int yy = y0; yy <= y1; yy++) for (int xx = x0; xx <= x1; xx++) {
    float w = fmaxf(0, 1 - fabsf(xx + 0.5f - cx) / (half + 0.5f)) * fmaxf(0, 1 - fabsf(yy + 0.5f - cy) / (half + 0.5f)); if (w <= 0) continue;
    int ax = xx < 0 ? 0 : xx >= S ? S - 1 : xx, ay = yy < 0 ? 0 : yy >= S ? S - 1 : yy;
    const float* q = c.room + ((long)b * S * S + (long)ay * S + ax) * 3; for (int k = 0; k < 3; k++) sum[k] += w * q[k]; all += w;
  }
  uint32_t seed = (uint32_t)PAR(SEED); float common = gauss(hash3(x, y, 5, seed)); float* o = c.small_ + ((long)b * S * S + (long)y * S + x) * 3;
  for (int k = 0; k < 3; k++) { float v = sum[k] / fmaxf(all, 1e-6f); o[k] = clamp(v + PAR(NOISE) * (0.4f + 0.6f * sqrtf(fmaxf(v, 0))) * (0.7f * common + 0.7f * gauss(hash3(x, y, 11 + k, seed))), 0, 1); }
}
DEV void blocks_item(int b, long i, const Ctx& c) {  // one 8 x 8 block through a rounded cosine transform
  const float* p = c.P + (long)b * NP; int n = (int)PAR(NATIVE), per = S / 8, by = (int)(i / per) * 8, bx = (int)(i % per) * 8;
  if (bx >= n || by >= n) return;
  float q = PAR(CODE);
  const float* in = c.small_ + (long)b * S * S * 3; float* o = c.coded + (long)b * S * S * 3;
  if (q <= 0) { for (int y = by; y < by + 8 && y < S; y++) for (int x = bx; x < bx + 8 && x < S; x++) for (int k = 0; k < 3; k++) o[((long)y * S + x) * 3 + k] = in[((long)y * S + x) * 3 + k]; return; }
  float cosines[8][8]; for (int f = 0; f < 8; f++) for (int t = 0; t < 8; t++) cosines[f][t] = cosf(3.14159265f * f * (2 * t + 1) / 16) * (f ? 0.5f : 0.35355339f);
  for (int ch = 0; ch < 3; ch++) {
    float block[8][8], half[8][8];
    for (int y = 0; y < 8; y++) for (int x = 0; x < 8; x++) {
      int yy = by + y < n ? by + y : n - 1, xx = bx + x < n ? bx + x : n - 1; const float* a = in + ((long)yy * S + xx) * 3;
      float l = 0.299f * a[0] + 0.587f * a[1] + 0.114f * a[2]; block[y][x] = ch == 0 ? l : ch == 1 ? a[2] - l : a[0] - l;
    }
    for (int y = 0; y < 8; y++) for (int f = 0; f < 8; f++) { float s = 0; for (int x = 0; x < 8; x++) s += block[y][x] * cosines[f][x]; half[y][f] = s; }
    for (int f = 0; f < 8; f++) for (int g = 0; g < 8; g++) { float s = 0; for (int y = 0; y < 8; y++) s += half[y][g] * cosines[f][y]; float step = q * (ch ? 2.0f : 1.0f) * (1 + 0.5f * (f + g)); block[f][g] = rintf(s / step) * step; }
    for (int f = 0; f < 8; f++) for (int x = 0; x < 8; x++) { float s = 0; for (int g = 0; g < 8; g++) s += block[f][g] * cosines[g][x]; half[f][x] = s; }
    for (int y = 0; y < 8; y++) for (int x = 0; x < 8; x++) { float s = 0; for (int f = 0; f < 8; f++) s += half[f][x] * cosines[f][y]; if (by + y < S && bx + x < S) o[((long)(by + y) * S + bx + x) * 3 + ch] = s; }
  }
  for (int y = by; y < by + 8 && y < S; y++) for (int x = bx; x < bx + 8 && x < S; x++) { float* a = o + ((long)y * S + x) * 3; float l = a[0], cb = a[1], cr = a[2], r = cr + l, bl = cb + l, g = (l - 0.299f * r - 0.114f * bl) / 0.587f; a[0] = clamp(r, 0, 1); a[1] = clamp(g, 0, 1); a[2] = clamp(bl, 0, 1); }
}
DEV void picture_item(int b, long i, const Ctx& c) {  // back to S x S
  const float* p = c.P + (long)b * NP; int n = (int)PAR(NATIVE), y = (int)(i / S), x = (int)(i % S);
  const float* in = c.coded + (long)b * S * S * 3;
  float sx = (x + 0.5f) * n / S - 0.5f, sy = (y + 0.5f) * n / S - 0.5f; int x0 = (int)floorf(sx), y0 = (int)floorf(sy); float fx = sx - x0, fy = sy - y0, v[3] = {0, 0, 0};
  for (int dy = 0; dy < 2; dy++) for (int dx = 0; dx < 2; dx++) {
    int xx = x0 + dx, yy = y0 + dy; xx = xx < 0 ? 0 : xx >= n ? n - 1 : xx; yy = yy < 0 ? 0 : yy >= n ? n - 1 : yy;
    float w = (dx ? fx : 1 - fx) * (dy ? fy : 1 - fy); const float* a = in + ((long)yy * S + xx) * 3; for (int k = 0; k < 3; k++) v[k] += w * a[k];
  }
  long o = ((long)b * S * S + i) * 3;
#ifdef __CUDACC__
  for (int k = 0; k < 3; k++) ((__half*)c.out)[o + k] = __float2half(v[k]);
#else
  for (int k = 0; k < 3; k++) ((float*)c.out)[o + k] = v[k];
#endif
}
DEV void label_item(int b, long j, const Ctx& c) {
  const float* p = c.P + (long)b * NP; F3 at = f3(0, 0, 0);
  for (int k = c.rstart[j]; k < c.rstart[j + 1]; k++) { const float* a = c.body + ((long)b * c.V + c.rvert[k]) * 3; at = at + f3(a[0], a[1], a[2]) * c.rw[k]; }
  float x = PAR(FOCAL) * at.x / at.z + PAR(CENTRE_X), y = PAR(FOCAL) * at.y / at.z + PAR(CENTRE_Y);
  c.joints[((long)b * c.K + j) * 2] = x; c.joints[((long)b * c.K + j) * 2 + 1] = y;
  bool inside = x >= 0 && y >= 0 && x < S && y < S;
  float near_ = depth_at(c, b, (int)(x * R / S), (int)(y * R / S)), seen = inside && at.z - near_ < PAR(THICK) && near_ < 1e8f ? 1.0f : 0.0f;
  if (seen > 0) { const float* pr = c.prims + (long)b * NPRIM * NPF; for (int m = 0; m < NPRIM; m++) { const float* q = pr + m * NPF; if (q[0] < 0.5f || q[11] < 0.5f || (int)q[0] == 4) continue; F3 col = f3(0, 0, 0); if (prim_alpha(q, x / S - 0.5f, y / S - 0.5f, (uint32_t)PAR(SEED) + m, col) > 0.5f) seen = 0; } }
  c.seen[(long)b * c.K + j] = seen;
}

typedef void (*Item)(int, long, const Ctx&);
#ifdef __CUDACC__
#define STAGE(item) __global__ void g_##item(Ctx c, long per) { long i = blockIdx.x * (long)blockDim.x + threadIdx.x; if (i < per) item(blockIdx.y, i, c); }
STAGE(skin_item) STAGE(raster_item) STAGE(shade_item) STAGE(compose_item) STAGE(shrink_item) STAGE(blocks_item) STAGE(picture_item) STAGE(label_item)
#define RUN(item, per) g_##item<<<dim3((unsigned)(((per) + 127) / 128), c.B), 128, 0, (cudaStream_t)stream>>>(c, per)
#else
#define RUN(item, per) { _Pragma("omp parallel for schedule(dynamic)") for (int b = 0; b < c.B; b++) for (long i = 0; i < (per); i++) item(b, i, c); }
#endif
extern "C" int draw(const Ctx* given, void* stream) {
  Ctx c = *given; (void)stream;
#ifdef __CUDACC__
  cudaMemsetAsync(c.z, 0xff, (size_t)c.B * R * R * 8, (cudaStream_t)stream);
#else
  for (long i = 0; i < (long)c.B * R * R; i++) c.z[i] = ~0ULL;
#endif
  RUN(skin_item, (long)c.V); RUN(raster_item, (long)c.T); RUN(shade_item, (long)R * R); RUN(compose_item, (long)S * S);
  RUN(shrink_item, (long)S * S); RUN(blocks_item, (long)(S / 8) * (S / 8)); RUN(picture_item, (long)S * S); RUN(label_item, (long)c.K);
#ifdef __CUDACC__
  return (int)cudaGetLastError();
#else
  return 0;
#endif
}
