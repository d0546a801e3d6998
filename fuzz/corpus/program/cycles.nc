g20 f20
g43 h1
g98
g81 x3 y4 r0.2 z-1.1
g91 x1 y0 r0 l3
y-2 r0.1
g82 g90 x4 y5 r0.2 z-1.1 p0.6
x2 z-3.0
s100 m3
g83 x1 y1 r0.2 z-1.1 q0.21
g84 x1 z-1 r1
g85 x2
g86 x1 z-1 r1 p1
g87 x0 y0 z-4 r1 i2 j0 k-1
g88 x1 z-1 r1 p.3
g89 x1 z-1 r1 p1.2
g18 g81 x1 z2 y-1 r0.5
g19 g81 y1 z2 x-1 r0.5
g80
m30
