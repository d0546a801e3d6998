n0010 g1 x1 y5 f20
n0020 g41 g1 y4 d1
n0030 g3 x2 y3 i1
n0040 g2 x3 y2 j-1
n0050 g1 y-1
n0060 g2 x2 y-2 i-1
n0070 g1 x-2
n0080 g2 x-2.6 y-0.2 j1
n0090 g1 x1.4 y2.8
n0100 g2 x2 y3 i0.6 j-0.8
n0110 g40
m2
